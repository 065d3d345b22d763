/** What can be wrong with a bench file, and what was probably meant. */
import { distance } from 'fastest-levenshtein';

export interface Mistake {
  /** From 1. */
  readonly line: number;
  /** From 1, counted in characters. */
  readonly column: number;
  /** Dotted, as in `channels.level.unit`; empty for the file as a whole. */
  readonly path: string;
  /** What is wrong. */
  readonly words: string;
  /** What was expected there instead. */
  readonly expected: string;
  /** The nearest thing that would have been right. */
  readonly nearest: string | null;
}

export type Path = readonly (string | number)[];

/** A mistake that still has to be found in the text: by the key that it stands at. */
export interface Finding {
  readonly path: Path;
  readonly at: 'key' | 'value';
  readonly words: string;
  readonly expected: string;
  readonly nearest: string | null;
  /**
   * `absent`: a key is missing. `empty`: nothing stands in it. `across`: two places do not go together. None of these
   * can be told while a line of the file is unreadable.
   */
  readonly nature: 'here' | 'absent' | 'empty' | 'across';
}

/** A finding is made with what it differs in. */
export function finding(path: Path, words: string, expected: string, more: Partial<Finding> = {}): Finding {
  return { path, at: 'value', words, expected, nearest: null, nature: 'here', ...more };
}

export function pathText(path: Path): string {
  return path.reduce<string>((text, step) => {
    if (typeof step === 'number') return `${text}[${step}]`;
    return text === '' ? step : `${text}.${step}`;
  }, '');
}

/** `one of "a", "b"`; `"a"` alone. */
export function oneOf(names: readonly string[]): string {
  const quoted = names.map(quote).join(', ');
  return names.length === 1 ? quoted : `one of ${quoted}`;
}

const LONGEST_NAME = 64;

/**
 * The known name that a person probably meant: the same but for case, the same to the first letters, or a few slips away
 * (Levenshtein distance; two letters changed over count as two).
 */
export function nearest(text: string, names: readonly string[]): string | null {
  if (text === '' || text.length > LONGEST_NAME) return null;
  const low = text.toLowerCase();
  let best: string | null = null;
  let bestSlips = Number.POSITIVE_INFINITY;
  for (const name of names) {
    const other = name.toLowerCase();
    const begins =
      low !== other && low.length >= 3 && other.length >= 3 && (other.startsWith(low) || low.startsWith(other));
    const slips = begins ? 1.5 : distance(low, other);
    if (slips < bestSlips && (begins || slips <= allowance(Math.max(low.length, other.length)))) {
      best = name;
      bestSlips = slips;
    }
  }
  return best;
}

function allowance(length: number): number {
  return length <= 3 ? 1 : Math.max(2, Math.floor(length / 3));
}

const SHOWN = 40;

/** Text of the file as it may be shown on a terminal: quoted, cut short, without control characters. */
export function quote(text: string): string {
  const characters = [...text];
  const cut = characters.length > SHOWN ? `${characters.slice(0, SHOWN).join('')}…` : text;
  return `"${printable(cut)}"`;
}

/** A value of the file in words. */
export function show(value: unknown): string {
  if (typeof value === 'string') return quote(value);
  if (value === null || value === undefined) return 'nothing';
  if (Array.isArray(value)) return 'a list';
  return typeof value === 'object' ? 'a block of keys' : String(value);
}

/** Control characters, and those that turn the writing direction, as visible stand-ins. */
export function printable(text: string): string {
  return text.replace(/[^\P{Cc}\t]|[\u2028-\u202e\u2066-\u2069\ufeff]/gu, '\u{fffd}');
}
