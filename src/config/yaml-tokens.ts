/**
 * Looks through the tokens of a YAML text before they are composed: composing is recursive, so a few thousand brackets
 * would exhaust the stack, and what a bench file never needs (references, types, texts over several lines) is best
 * told where it stands.
 */
import type { CST } from 'yaml';
import type { Flaw } from './yaml-words.ts';

const DEEPEST = 24;

export interface Inspected {
  /** What is understood but not wanted. */
  readonly flaws: readonly Flaw[];
  /** What hides the structure of the text: quotes and brackets that are not closed. */
  readonly faults: readonly Flaw[];
  /** A text that must not be composed. */
  readonly tooDeep: Flaw | null;
  /** Offsets of references, which have no value of their own here. */
  readonly spoiled: ReadonlySet<number>;
}

const UNWANTED: Readonly<Record<string, readonly [words: string, expected: string]>> = {
  alias: ['a reference (*) is not followed', 'the value itself, or quotes around a text that begins with *'],
  anchor: ['a mark for references (&) is not used', 'the value itself, or quotes around a text that begins with &'],
  tag: ['a type (!) is not used', 'the value itself, or quotes around a text that begins with !'],
  directive: ['a line that begins with % is not read', 'a key'],
};

export function inspect(tokens: readonly CST.Token[]): Inspected {
  const flaws: Flaw[] = [];
  const faults: Flaw[] = [];
  const spoiled = new Set<number>();
  let tooDeep: Flaw | null = null;
  let level = [...tokens];
  // Level by level, without recursion.
  for (let depth = 0; level.length > 0; depth++) {
    const next: CST.Token[] = [];
    for (const token of level) {
      const { offset } = token;
      const unwanted = UNWANTED[token.type];
      if (unwanted !== undefined) flaws.push({ offset, words: unwanted[0], expected: unwanted[1] });
      if (token.type === 'alias') spoiled.add(offset);
      if (isOpenQuote(token)) {
        faults.push({
          offset,
          words: 'this quote is not closed on its line',
          expected: 'a closing quote of the same kind',
        });
      }
      if (isOpenBracket(token)) {
        faults.push({ offset, words: 'this bracket is not closed', expected: 'a closing } or ] of the same kind' });
      }
      const parts = partsOf(token);
      if (parts.length > 0 && depth > DEEPEST) {
        tooDeep ??= { offset, words: 'this is nested too deeply', expected: 'the few levels that such a file needs' };
      } else {
        for (const part of parts) next.push(part);
      }
    }
    level = next;
  }
  return { flaws, faults, tooDeep, spoiled };
}

function partsOf(token: CST.Token): CST.Token[] {
  if (token.type === 'document') return present([...token.start, token.value]);
  if (token.type === 'block-scalar') return token.props;
  if (token.type !== 'block-map' && token.type !== 'block-seq' && token.type !== 'flow-collection') return [];
  return token.items.flatMap((item) => present([...item.start, item.key, ...(item.sep ?? []), item.value]));
}

function present(tokens: readonly (CST.Token | null | undefined)[]): CST.Token[] {
  return tokens.filter((token) => token != null);
}

/** A text in quotes that runs on into the next line, or ends without its quote. */
function isOpenQuote(token: CST.Token): boolean {
  if (token.type !== 'single-quoted-scalar' && token.type !== 'double-quoted-scalar') return false;
  const { source } = token;
  return source.includes('\n') || source.length < 2 || source.at(-1) !== source.at(0);
}

function isOpenBracket(token: CST.Token): boolean {
  if (token.type !== 'flow-collection') return false;
  const end = token.start.type === 'flow-map-start' ? 'flow-map-end' : 'flow-seq-end';
  return !token.end.some(({ type }) => type === end);
}
