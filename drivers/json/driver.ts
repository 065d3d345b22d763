import { z } from '../../src/kit/driver.ts';
import { lineOptions, signalMap } from '../../src/kit/line-options.ts';
import { asLineText } from '../../src/kit/text.ts';
import { textDriver } from '../../src/kit/text-driver.ts';
import { boundedJson } from './bounded.ts';

const INHERITED = ['__proto__', 'prototype', 'constructor'];

const options = z.strictObject({
  signals: signalMap(
    z
      .string()
      .refine((path) => path.split('.').every((step) => step !== ''), {
        message: 'not a path: keys with a point between, such as sensors.0.t',
      })
      .refine((path) => !path.split('.').some((step) => INHERITED.includes(step)), {
        message: `${INHERITED.join(', ')} are no keys of a measurement`,
      }),
  ).describe(
    'The path of each signal: keys with a point between, a number for the place in a list, such as sensors.0.t',
  ),
  ...lineOptions,
});

export const json = textDriver<z.output<typeof options>, null>({
  name: 'json',
  summary: 'One JSON object in each line, such as {"t":41.25,"level":{"mm":62.3}}',
  options,
  capBytes: 4096,
  signals: ({ signals }) => Object.keys(signals),
  ready: () => null,
  read(text, { signals }) {
    const root = boundedJson(text);
    if (root === null) return 'no-match';
    const values: Record<string, number> = {};
    let blank = false;
    for (const [signal, path] of Object.entries(signals)) {
      const found = path.split('.').reduce<unknown>(inside, root);
      if (found === undefined) continue;
      if (found === null) blank = true;
      else if (typeof found !== 'number' || !Number.isFinite(found)) return 'bad-number';
      else values[signal] = found + 0;
    }
    if (Object.keys(values).length > 0) return values;
    return blank ? 'empty' : 'no-match';
  },
});

/** Only what the line itself holds: nothing inherited, no length, no characters of a text. Null holds nothing either. */
function inside(value: unknown, step: string): unknown {
  if (Array.isArray(value)) return /^\d{1,4}$/.test(step) ? (value[Number(step)] as unknown) : undefined;
  if (typeof value !== 'object' || value === null) return undefined;
  const key = [asLineText(step), step].find((name) => Object.hasOwn(value, name));
  return key === undefined ? undefined : (value as Record<string, unknown>)[key];
}
