/** The text of a bench file and the places in it. */

export interface Source {
  /** Without byte order mark, every line end a single \n. Offsets count in this text. */
  readonly text: string;
  readonly lines: readonly string[];
  /** Line and column of an offset, both from 1; columns count characters. Always inside the file. */
  readonly place: (offset: number) => { line: number; column: number };
}

export function readSource(raw: string): Source {
  const text = raw.replace(/^\u{feff}/u, '').replace(/\r\n?/g, '\n');
  const lines = text.split('\n');
  // A final line end begins no line of its own.
  if (lines.length > 1 && lines.at(-1) === '') lines.pop();
  const starts: number[] = [];
  let start = 0;
  for (const line of lines) {
    starts.push(start);
    start += line.length + 1;
  }
  // Characters beyond U+FFFF take two places of the text.
  const doubles = [...text.matchAll(/[\u{10000}-\u{10ffff}]/gu)].map(({ index }) => index);
  const place = (offset: number): { line: number; column: number } => {
    const line = Math.max(1, countBelow(starts, offset + 1));
    const from = starts[line - 1] ?? 0;
    const to = Math.min(offset, from + (lines[line - 1] ?? '').length);
    return { line, column: to - from - (countBelow(doubles, to) - countBelow(doubles, from)) + 1 };
  };
  return { text, lines, place };
}

/** How many of these rising numbers lie below a limit. */
function countBelow(rising: readonly number[], limit: number): number {
  let low = 0;
  let high = rising.length;
  while (low < high) {
    const middle = (low + high) >>> 1;
    if ((rising[middle] as number) < limit) low = middle + 1;
    else high = middle;
  }
  return low;
}
