import { defineDriver, z } from '../../src/kit/driver.ts';
import { matchPattern, type Pattern, readPattern } from '../../src/kit/pattern.ts';
import { lineText } from '../../src/kit/text.ts';

const options = z.strictObject({
  pattern: z
    .string()
    .superRefine((source, context) => {
      const read = readPattern(source);
      if ('problem' in read) context.addIssue({ code: 'custom', message: `not a line pattern: ${read.problem}` });
    })
    .describe('One line of the board: literal text, {name} where a number stands, {...} for any text'),
});

export const pattern = defineDriver<z.output<typeof options>, Pattern>({
  name: 'pattern',
  summary: 'Text lines with words around the numbers, such as "T=41.25 C ok"',
  options,
  framing: () => ({ kind: 'lines', capBytes: 1024 }),
  signals: (options) => compiled(options).names,
  init: compiled,
  decode(frame, state) {
    const text = lineText(frame.bytes);
    if (text === null) return { state, items: [{ kind: 'discarded', reason: 'non-text' }] };
    const match = matchPattern(state, text);
    if ('reason' in match) return { state, items: [{ kind: 'discarded', reason: match.reason }] };
    return {
      state,
      items: state.names.map((signal) => ({ kind: 'signal', signal, value: match.values[signal] as number })),
    };
  },
});

function compiled({ pattern }: { pattern: string }): Pattern {
  const read = readPattern(pattern);
  if ('problem' in read) throw new Error(`${pattern}: ${read.problem}`);
  return read.pattern;
}
