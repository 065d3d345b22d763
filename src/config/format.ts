/** Mistakes as text for a terminal: place, words, the line itself with a mark under the spot. */
import { type Mistake, printable } from './mistake.ts';
import { readSource } from './source.ts';

/** Characters of a line that are shown; of a longer one the part around the spot. */
const WIDTH = 100;

/** `file` as it should stand before each place, for example `bench.yaml`. */
export function formatMistakes(file: string, text: string, mistakes: readonly Mistake[]): string {
  const { lines } = readSource(text);
  let split: { line: number; characters: readonly string[] } = { line: 0, characters: [] };
  const charactersOf = (line: number): readonly string[] => {
    if (split.line !== line) split = { line, characters: [...(lines[line - 1] ?? '')] };
    return split.characters;
  };
  return mistakes.map((mistake) => formatMistake(file, charactersOf(mistake.line), mistake)).join('\n');
}

function formatMistake(file: string, characters: readonly string[], mistake: Mistake): string {
  const { line, column, words, expected, nearest } = mistake;
  const wanted = expected === '' ? '' : `: expected ${expected}`;
  const meant = nearest === null ? '' : `; did you mean "${printable(nearest)}"?`;
  const from = column <= WIDTH ? 0 : column - WIDTH / 2;
  const shown = characters.slice(from, from + WIDTH);
  const before = shown.slice(0, column - 1 - from).map((character) => (character === '\t' ? '\t' : ' '));
  const number = String(line).padStart(5);
  return [
    `${file}:${line}:${column}  ${words}${wanted}${meant}`,
    `${number} | ${printable(shown.join(''))}`,
    `${' '.repeat(number.length)} | ${before.join('')}^`,
    '',
  ].join('\n');
}
