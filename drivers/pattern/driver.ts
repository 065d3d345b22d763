import { z } from '../../src/kit/driver.ts';
import { decimalOption, lineOptions } from '../../src/kit/line-options.ts';
import { matchPattern, type Pattern, readPattern } from '../../src/kit/pattern.ts';
import { textDriver } from '../../src/kit/text-driver.ts';

const options = z.strictObject({
  pattern: z
    .string()
    .superRefine((source, context) => {
      const read = readPattern(source);
      if ('problem' in read) context.addIssue({ code: 'custom', message: `not a line pattern: ${read.problem}` });
    })
    .describe('One line of the board: literal text, {name} where a number stands, {...} for any text'),
  decimal: decimalOption,
  ...lineOptions,
});

export const pattern = textDriver<z.output<typeof options>, Pattern>({
  name: 'pattern',
  summary: 'Text lines with words around the numbers, such as "T=41.25 C ok"',
  options,
  signals: (options) => compiled(options).names,
  ready: compiled,
  read(text, { decimal }, pattern) {
    const match = matchPattern(pattern, text, decimal);
    return 'reason' in match ? match.reason : match.values;
  },
});

function compiled({ pattern }: { pattern: string }): Pattern {
  const read = readPattern(pattern);
  if ('problem' in read) throw new Error(`${pattern}: ${read.problem}`);
  return read.pattern;
}
