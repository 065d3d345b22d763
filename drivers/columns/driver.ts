import { type Decoded, defineDriver, z } from '../../src/kit/driver.ts';
import { strictNumber } from '../../src/kit/numbers.ts';
import { asLineText, lineText } from '../../src/kit/text.ts';

const options = z.strictObject({
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
});

export const columns = defineDriver<z.output<typeof options>, null>({
  name: 'columns',
  summary: 'Text lines of values with a separator, such as "62.31;mm;87"',
  options,
  framing: () => ({ kind: 'lines', capBytes: 1024 }),
  signals: ({ columns }) => columns.filter((name) => name !== '_'),
  init: () => null,
  decode(frame, state, { separator, columns, blanks }) {
    const discarded = (reason: 'non-text' | 'wrong-columns' | 'empty' | 'bad-number') => ({
      state,
      items: [{ kind: 'discarded', reason } as const],
    });
    const text = lineText(frame.bytes);
    if (text === null) return discarded('non-text');
    const fields = separator.trim() === '' ? text.trim().split(/[ \t]+/) : text.split(asLineText(separator));
    if (fields.length !== columns.length) return discarded('wrong-columns');
    const items: Decoded[] = [];
    for (const [index, signal] of columns.entries()) {
      if (signal === '_') continue;
      const field = (fields[index] as string).trim();
      if (field === '') {
        if (blanks === 'discard') return discarded('empty');
        continue;
      }
      const value = strictNumber(field);
      if (value === null) return discarded('bad-number');
      items.push({ kind: 'signal', signal, value });
    }
    return { state, items };
  },
});

function noneTwice(names: readonly string[]): boolean {
  return new Set(names).size === names.length;
}
