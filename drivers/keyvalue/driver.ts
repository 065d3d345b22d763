import { z } from '../../src/kit/driver.ts';
import { decimalOption, lineOptions, signalMap } from '../../src/kit/line-options.ts';
import { strictNumber } from '../../src/kit/numbers.ts';
import { asLineText } from '../../src/kit/text.ts';
import { textDriver } from '../../src/kit/text-driver.ts';

const place = z.union([
  z.string().trim().min(1),
  z.strictObject({
    key: z.string().trim().min(1).describe('The key as the board prints it'),
    unit: z.string().trim().default('').describe('Text that must follow the number, such as "mm"'),
  }),
]);

const options = z
  .strictObject({
    signals: signalMap(place).describe(
      'The key of each signal, or key and unit where a unit is printed after the number',
    ),
    between: z
      .string()
      .min(1)
      .max(4)
      .default(' ')
      .describe('What stands between two pairs; a blank means any number of blanks'),
    equals: z.string().trim().min(1).max(4).default('=').describe('What stands between key and number, such as = or :'),
    decimal: decimalOption,
    ...lineOptions,
  })
  .refine(({ between, decimal }) => decimal !== 'comma' || !between.includes(','), {
    path: ['decimal'],
    message: 'a comma cannot stand both between pairs and before decimals: name what the board prints between pairs',
  })
  .refine(({ between, equals }) => between.trim() !== equals, {
    path: ['between'],
    message: 'the same text cannot stand between pairs and within a pair',
  });

export const keyvalue = textDriver<z.output<typeof options>, null>({
  name: 'keyvalue',
  summary: 'Text lines of named values in any order, such as "T=41.25 D=62.3"',
  options,
  signals: ({ signals }) => Object.keys(signals),
  ready: () => null,
  read(text, { signals, between, equals, decimal }) {
    const pairs = readPairs(text, asLineText(between), asLineText(equals));
    if (pairs === null) return 'no-match';
    const values: Record<string, number> = {};
    for (const [signal, where] of Object.entries(signals)) {
      const { key, unit } = typeof where === 'string' ? { key: where, unit: '' } : where;
      const printed = pairs.get(asLineText(key));
      if (printed === undefined) continue;
      const suffix = asLineText(unit);
      if (!printed.endsWith(suffix)) return 'bad-number';
      const value = strictNumber(printed.slice(0, printed.length - suffix.length).trim(), decimal);
      if (value === null) return printed === '' ? 'empty' : 'bad-number';
      values[signal] = value;
    }
    return Object.keys(values).length === 0 ? 'no-match' : values;
  },
});

/** Null where a key stands twice: two lines run together, or damage. Blanks around the sign between key and value are free. */
function readPairs(text: string, between: string, equals: string): ReadonlyMap<string, string> | null {
  const tight = text
    .split(equals)
    .map((part) => part.trim())
    .join(equals);
  const pairs = new Map<string, string>();
  for (const part of between.trim() === '' ? tight.split(/[ \t]+/) : tight.split(between)) {
    const at = part.indexOf(equals);
    if (at < 0) continue;
    const key = part.slice(0, at).trim();
    if (pairs.has(key)) return null;
    pairs.set(key, part.slice(at + equals.length).trim());
  }
  return pairs;
}
