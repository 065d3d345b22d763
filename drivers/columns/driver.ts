import { z } from '../../src/kit/driver.ts';
import { decimalOption, lineOptions } from '../../src/kit/line-options.ts';
import { strictNumber } from '../../src/kit/numbers.ts';
import { asLineText } from '../../src/kit/text.ts';
import { textDriver } from '../../src/kit/text-driver.ts';

const options = z
  .strictObject({
    separator: z
      .string()
      .min(1)
      .max(4)
      .default(',')
      .describe('What stands between two columns; a blank means any number of blanks'),
    columns: z
      .array(z.string().regex(/^(_|[a-z][a-z0-9_-]*)$/i, 'a name of letters, digits, - and _, or _ to skip a column'))
      .min(1)
      .refine((names) => names.some((name) => name !== '_'), 'name at least one column')
      .refine((names) => noneTwice(names.filter((name) => name !== '_')), 'a name stands twice')
      .describe('A name for each column from left to right; _ skips one'),
    blanks: z
      .enum(['discard', 'skip'])
      .default('discard')
      .describe('An empty column: discard the line, or skip just that value'),
    decimal: decimalOption,
    ...lineOptions,
  })
  .refine(({ separator, decimal }) => decimal !== 'comma' || !separator.includes(','), {
    path: ['decimal'],
    message: 'a comma cannot stand both between columns and before decimals: name the separator that the board prints',
  });

export const columns = textDriver<z.output<typeof options>, null>({
  name: 'columns',
  summary: 'Text lines of values with a separator, such as "62.31;mm;87"',
  options,
  signals: ({ columns }) => columns.filter((name) => name !== '_'),
  ready: () => null,
  read(text, { separator, columns, blanks, decimal }) {
    const fields = separator.trim() === '' ? text.trim().split(/[ \t]+/) : text.split(asLineText(separator));
    if (fields.length !== columns.length) return 'wrong-columns';
    const values: Record<string, number> = {};
    for (const [index, signal] of columns.entries()) {
      if (signal === '_') continue;
      const field = (fields[index] as string).trim();
      if (field === '' && blanks === 'skip') continue;
      if (field === '') return 'empty';
      const value = strictNumber(field, decimal);
      if (value === null) return 'bad-number';
      values[signal] = value;
    }
    return Object.keys(values).length === 0 ? 'empty' : values;
  },
});

function noneTwice(names: readonly string[]): boolean {
  return new Set(names).size === names.length;
}
