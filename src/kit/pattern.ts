/**
 * Text patterns that a tinkerer writes without regular expressions: literal text, `{name}` where a number stands, and
 * `{...}` for any text in between. Matching is linear in the line for any pattern: no backtracking.
 */
import { type Decimal, numberEnd, numberOf } from './numbers.ts';
import { asLineText, isBlank } from './text.ts';

type Token =
  | { readonly kind: 'text'; readonly text: string }
  | { readonly kind: 'blank' }
  | { readonly kind: 'number'; readonly name: string };

export interface Pattern {
  /** Runs of tokens between `{...}`; the first one stands at the start of the line unless `openStart`. */
  readonly segments: readonly (readonly Token[])[];
  readonly openStart: boolean;
  readonly openEnd: boolean;
  readonly names: readonly string[];
}

export type Match =
  | { readonly values: Readonly<Record<string, number>> }
  | { readonly reason: 'no-match' | 'bad-number' };

/** Reads a pattern; `problem` says in words what is wrong with it. */
export function readPattern(source: string): { pattern: Pattern } | { problem: string } {
  const segments: Token[][] = [[]];
  const names: string[] = [];
  let current: Token[] = [];
  segments[0] = current;
  const parts = source.trim().split(/(\{[^{}]*\})/);
  for (const part of parts) {
    if (part === '') continue;
    if (part === '{...}') {
      current = [];
      segments.push(current);
    } else if (part.startsWith('{') && part.endsWith('}')) {
      const name = part.slice(1, -1).trim();
      if (!/^[a-z][a-z0-9_-]*$/i.test(name))
        return { problem: `"${part}" is no name: letters, digits, - and _, or {...} for any text` };
      if (names.includes(name)) return { problem: `the name "${name}" stands twice` };
      if (current.at(-1)?.kind === 'number') return { problem: `put some text between two numbers, before "${part}"` };
      if (current.length === 0 && segments.length > 1)
        return { problem: `put some text between {...} and "${part}", so that it is clear where the number starts` };
      names.push(name);
      current.push({ kind: 'number', name });
    } else if (/[{}]/.test(part)) {
      return { problem: 'a brace is missing: numbers are written {name}, any text {...}' };
    } else {
      for (const piece of asLineText(part).split(/([ \t]+)/)) {
        if (piece !== '')
          current.push(isBlank(piece.charCodeAt(0)) ? { kind: 'blank' } : { kind: 'text', text: piece });
      }
    }
  }
  if (names.length === 0) return { problem: 'there is no number in it: write {name} where the number stands' };
  const openStart = segments.length > 1 && segments[0]?.length === 0;
  const openEnd = segments.length > 1 && segments.at(-1)?.length === 0;
  return { pattern: { segments: segments.filter((one) => one.length > 0), openStart, openEnd, names } };
}

/** Matches one line (see lineText). Blanks at both ends, and before a number, are free. */
export function matchPattern(pattern: Pattern, line: string, decimal: Decimal = 'point'): Match {
  const values: Record<string, number> = {};
  let at = skipBlanks(line, 0);
  let reason: 'no-match' | 'bad-number' = 'no-match';
  for (const [index, segment] of pattern.segments.entries()) {
    const last = index === pattern.segments.length - 1;
    const anchoredEnd = last && !pattern.openEnd;
    let from = at;
    let found = -1;
    do {
      const end = matchSegment(segment, line, from, anchoredEnd, decimal, values);
      if (end >= 0) {
        found = end;
        break;
      }
      if (end === BAD_NUMBER) reason = 'bad-number';
      if (index === 0 && !pattern.openStart) break;
      from = nextStart(segment[0], line, from + 1);
    } while (from >= 0);
    if (found < 0) return { reason };
    at = found;
  }
  return { values };
}

const NO_MATCH = -1;
const BAD_NUMBER = -2;

function matchSegment(
  segment: readonly Token[],
  line: string,
  from: number,
  anchoredEnd: boolean,
  decimal: Decimal,
  values: Record<string, number>,
): number {
  let at = from;
  let afterNumber = false;
  for (const token of segment) {
    if (token.kind === 'text') {
      if (!line.startsWith(token.text, at)) return afterNumber && gluesToNumber(line, at) ? BAD_NUMBER : NO_MATCH;
      at += token.text.length;
      afterNumber = false;
    } else if (token.kind === 'blank') {
      if (!isBlank(line.charCodeAt(at))) return afterNumber && gluesToNumber(line, at) ? BAD_NUMBER : NO_MATCH;
      at = skipBlanks(line, at);
      afterNumber = false;
    } else {
      at = skipBlanks(line, at);
      const end = numberEnd(line, at, decimal);
      if (end === at) return BAD_NUMBER;
      values[token.name] = numberOf(line.slice(at, end), decimal);
      at = end;
      afterNumber = true;
    }
  }
  if (afterNumber && gluesToNumber(line, at)) return BAD_NUMBER;
  if (anchoredEnd && skipBlanks(line, at) !== line.length) return NO_MATCH;
  return at;
}

function skipBlanks(line: string, from: number): number {
  let at = from;
  while (isBlank(line.charCodeAt(at))) at++;
  return at;
}

/** True where what follows would make it another number or none: 0.943M, 12,5, 1e999, 0x1F. */
function gluesToNumber(line: string, at: number): boolean {
  return /[0-9A-Za-z.,_]/.test(line.charAt(at));
}

function nextStart(token: Token | undefined, line: string, from: number): number {
  if (token === undefined || from > line.length) return -1;
  if (token.kind === 'text') return line.indexOf(token.text, from);
  for (let at = from; at < line.length; at++) if (isBlank(line.charCodeAt(at))) return at;
  return -1;
}
