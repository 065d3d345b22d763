/** Changes in the text of a procedure file that leave its comments and everything else as they stand. */
import { isMap, isScalar, parseDocument, type YAMLMap } from 'yaml';
import { own } from './schema-walk.ts';

type Path = readonly (string | number)[];

/** What stands at a path, as written; null where nothing does. */
export function writtenAt(text: string, path: Path): string | null {
  const range = rangeAt(text, path);
  return range === null ? null : text.slice(...range);
}

/** The text with another scalar at each of these paths, which must be there. */
export function withValues(text: string, paths: readonly Path[], value: string): string {
  const ranges = paths.flatMap((path) => rangeAt(text, path) ?? []);
  let changed = text;
  for (let i = ranges.length - 2; i >= 0; i -= 2)
    changed = changed.slice(0, ranges[i]) + scalar(value) + changed.slice(ranges[i + 1]);
  return changed;
}

/** A copy under a name of its own, which says at its head where it comes from. */
export function renamed(text: string, name: string, from: string, file: string): string {
  const head = `# Made from ${from}. Change words and figures, then run\n#   stillwell check ${file}\n`;
  return withValues(text, [['procedure']], name).replace(/^# Copy it \(.*\n#.*\n/m, () => head);
}

export interface TickList {
  readonly id: string;
  readonly title: string;
  readonly ticks: readonly string[];
}

/** The text with a step of ticks before the step at `index`, or at the end. */
export function withTickList(text: string, index: number, { id, title, ticks }: TickList): string {
  const lines = [
    `  - step: ${id}`,
    `    title: ${scalar(title)}`,
    '    tick:',
    ...ticks.map((tick) => `      - ${scalar(tick)}`),
  ];
  const step = `${lines.join('\n')}\n`;
  const next = rangeAt(text, ['steps', index]);
  if (next === null) return `${text.replace(/\n*$/, '\n')}\n${step}`;
  const line = text.lastIndexOf('\n', next[0]) + 1;
  return `${text.slice(0, line)}${step}\n${text.slice(line)}`;
}

/** Plain where YAML reads it as the same text wherever it stands, else in quotes. */
function scalar(value: string): string {
  return /^(?:[a-z][a-z0-9-]*|\d+(?:\.\d+)? ?[%°a-zA-Zµ]{1,4})$/.test(value) && !/^(?:true|false|null)$/.test(value)
    ? value
    : JSON.stringify(value);
}

function rangeAt(text: string, path: Path): [from: number, to: number] | null {
  const node: unknown = parseDocument(text).getIn(path, true);
  const range = isScalar(node) || isMap(node) ? (node as YAMLMap).range : own(node, 'range');
  return Array.isArray(range) ? [range[0] as number, range[1] as number] : null;
}
