import { checksum } from '../../src/kit/checksum.ts';
import { z } from '../../src/kit/driver.ts';
import { askOption, signalMap } from '../../src/kit/line-options.ts';
import { type Reading, textDriver } from '../../src/kit/text-driver.ts';
import { type Place, placeSchema, valueIn } from './place.ts';

const options = z.strictObject({
  signals: signalMap(placeSchema).describe('Where each signal stands: a sentence, and in it a field or a transducer'),
  unchecked: z
    .enum(['discard', 'take'])
    .default('discard')
    .describe('A sentence without a checksum: discard it or take it; one with a wrong checksum is always discarded'),
  ask: askOption.optional(),
});

export const nmea = textDriver<z.output<typeof options>, null>({
  name: 'nmea',
  summary: 'NMEA 0183 sentences, such as "$IIXDR,C,38.5,C,TRANS*04"',
  options,
  signals: ({ signals }) => Object.keys(signals),
  checked: ({ unchecked }) => unchecked === 'discard',
  ready: () => null,
  read(text, { signals, unchecked }) {
    const body = sentenceBody(text.trimEnd(), unchecked === 'take');
    return typeof body === 'string' ? readSentence(body.split(','), signals) : body.reason;
  },
});

/** What stands between $ and *, if the exclusive or of it is what the two digits after * say. */
function sentenceBody(text: string, takeUnchecked: boolean) {
  const [, body, sum] = /^\$([^$*]+)(?:\*([0-9A-Fa-f]{2}))?$/.exec(text) ?? [];
  if (body === undefined) return { reason: text.startsWith('$') ? 'checksum' : 'no-match' } as const;
  if (sum === undefined) return takeUnchecked ? body : ({ reason: 'checksum' } as const);
  const found = checksum(
    'xor',
    Uint8Array.from(body, (char) => char.charCodeAt(0)),
  );
  return found === Number.parseInt(sum, 16) ? body : ({ reason: 'checksum' } as const);
}

function readSentence(fields: readonly string[], signals: Readonly<Record<string, Place>>): Reading {
  const values: Record<string, number> = {};
  let empty = false;
  for (const [signal, place] of Object.entries(signals)) {
    const value = valueIn(fields, place);
    if (value === 'bad-number') return value;
    if (value === 'empty') empty = true;
    else if (value !== null) values[signal] = value;
  }
  if (Object.keys(values).length > 0) return values;
  return empty ? 'empty' : 'no-match';
}
