/**
 * YAML 1.2 (core schema) to plain data, with the place of every key and value. What is no bench file in any case comes
 * back as flaws: tabs, doubled keys, references, types, numbers in other than decimal form.
 */
import { Composer, isMap, isScalar, isSeq, Parser, type Range, type Scalar } from 'yaml';
import { type Path, pathText, quote } from './mistake.ts';
import { readNumber } from './quantities.ts';
import { inspect } from './yaml-tokens.ts';
import { type Flaw, firstFault, KEY_VALUE } from './yaml-words.ts';

export interface Place {
  /** Offset of the key, and of the value; the same where there is but one of them. */
  readonly key: number;
  readonly value: number;
  /** A flaw was already told of this value: nothing more is to be said. */
  readonly spoiled: boolean;
  readonly children: ReadonlyMap<string | number, Place>;
}

export interface LocatedFlaw extends Flaw {
  readonly path: string;
  readonly nearest: string | null;
}

export interface ReadYaml {
  /** Null for a text without keys. */
  readonly data: unknown;
  readonly root: Place;
  readonly flaws: readonly LocatedFlaw[];
  /** True where not every line could be used: what is absent may stand in one of the others. */
  readonly partial: boolean;
  /** From this offset on nothing could be read; infinite for most texts. */
  readonly brokenAt: number;
}

/** Characters; ten instruments take three thousand. */
const LARGEST = 65_536;
/** Lines that are set aside before reading is given up; fewer in a long text, which is no bench file. */
const MOST_SET_ASIDE = 20;
const PATIENCE = 100_000;

const OPTIONS = { version: '1.2', stringKeys: true, uniqueKeys: false, resolveKnownTags: false } as const;

/**
 * Reads the text. A line that is not YAML is told and set aside, so that the mistakes of all the others can be told in
 * the same go.
 */
export function readYaml(text: string): ReadYaml {
  const size = text.length;
  if (size > LARGEST) {
    return unread({
      offset: 0,
      words: `the file has ${size} characters`,
      expected: `a file of at most ${LARGEST}`,
    });
  }
  const odd = /[^\P{Cc}\t\n]|\ufffd/u.exec(text);
  if (odd !== null) {
    return unread({
      offset: odd.index,
      words: 'this is no character of a text file',
      expected: 'plain text, saved as UTF-8',
    });
  }
  const faults: Flaw[] = [];
  const most = Math.min(MOST_SET_ASIDE, Math.ceil(PATIENCE / Math.max(1, size)));
  let brokenAt = Number.POSITIVE_INFINITY;
  let composed = compose(text);
  for (let rest = text; composed.fault !== null; composed = compose(rest)) {
    faults.push(composed.fault);
    const less = faults.length < most ? setAside(rest, composed.fault.offset) : rest;
    if (less === rest) {
      brokenAt = composed.fault.offset;
      break;
    }
    rest = less;
  }
  const found: LocatedFlaw[] = composed.flaws.map(located);
  const [data, root] = convert(composed.contents, [], 0, { spoiled: composed.spoiled, flaws: found });
  const flaws = [...faults.map(located), ...found.filter(({ offset }) => offset < brokenAt)];
  return { data, root, flaws, partial: faults.length > 0 || composed.isCut, brokenAt };
}

interface Composed {
  readonly contents: unknown;
  readonly flaws: readonly Flaw[];
  readonly spoiled: ReadonlySet<number>;
  /** More follows in a second document, which is not looked into. */
  readonly isCut: boolean;
  /** The first place at which the text is no YAML of keys and values. */
  readonly fault: Flaw | null;
}

function compose(text: string): Composed {
  const tokens = [...new Parser().parse(text)];
  const inspected = inspect(tokens);
  const { spoiled, tooDeep } = inspected;
  if (tooDeep !== null) return { contents: null, flaws: [], spoiled, isCut: false, fault: tooDeep };

  const second = tokens.filter(({ type }) => type === 'document')[1];
  const flaws = [...inspected.flaws];
  if (second !== undefined) {
    flaws.push({ offset: second.offset, words: 'a second document begins here', expected: 'one document in one file' });
  }
  // A %YAML line would change how values are read: it is told, and left out.
  const used = tokens.slice(0, second === undefined ? tokens.length : tokens.indexOf(second));
  const [document] = new Composer(OPTIONS).compose(
    used.filter(({ type }) => type !== 'directive'),
    true,
    text.length,
  );
  const faults = [...inspected.faults, ...firstFault(document?.errors ?? [], text)];
  const contents = document?.contents;
  const isEmpty = contents == null || (isScalar(contents) && contents.value === null);
  if (!isEmpty && !isMap(contents)) {
    faults.push({ offset: contents.range[0], words: 'this is no key with a value', expected: KEY_VALUE });
  }
  const [fault = null] = faults.toSorted((a, b) => a.offset - b.offset);
  return { contents: isMap(contents) ? contents : null, flaws, spoiled, isCut: second !== undefined, fault };
}

/**
 * The text with blanks in place of the line at this offset; of a key without a value, or with
 * one in quotes or brackets, also of the lines under it.
 */
function setAside(text: string, offset: number): string {
  const from = text.lastIndexOf('\n', offset - 1) + 1;
  let to = endOfLine(text, from);
  const line = text.slice(from, to);
  const goesOn = !/:\s*[^\s#"'[{]/.test(line);
  while (goesOn && to < text.length) {
    const end = endOfLine(text, to + 1);
    const next = text.slice(to + 1, end);
    if (next.trim() !== '' && indentOf(next) <= indentOf(line)) break;
    to = end;
  }
  return text.slice(0, from) + text.slice(from, to).replace(/[^\n]/g, ' ') + text.slice(to);
}

function endOfLine(text: string, from: number): number {
  const end = text.indexOf('\n', from);
  return end < 0 ? text.length : end;
}

function indentOf(line: string): number {
  return /^\s*/.exec(line)?.[0].length ?? 0;
}

interface Converting {
  readonly spoiled: ReadonlySet<number>;
  readonly flaws: LocatedFlaw[];
}

function convert(node: unknown, path: Path, key: number, to: Converting): [unknown, Place] {
  const value = (node as { range?: Range | null } | null | undefined)?.range?.[0] ?? key;
  const children = new Map<string | number, Place>();
  const place = { key, value, spoiled: to.spoiled.has(value), children };
  if (isMap(node)) {
    const data: Record<string, unknown> = {};
    for (const pair of node.items) {
      if (!isScalar(pair.key) || typeof pair.key.value !== 'string') continue;
      const name = pair.key.value;
      const offset = pair.key.range?.[0] ?? value;
      const told = { offset, path: pathText([...path, name]), nearest: null };
      if (name === '__proto__') {
        to.flaws.push({ ...told, words: `the key ${quote(name)} is not allowed`, expected: 'another name' });
      } else if (children.has(name)) {
        to.flaws.push({ ...told, words: `the key ${quote(name)} stands here twice`, expected: 'each key once' });
      } else {
        const [child, childPlace] = convert(pair.value, [...path, name], offset, to);
        data[name] = child;
        children.set(name, childPlace);
      }
    }
    return [data, place];
  }
  if (isSeq(node)) {
    const items = node.items.map((item, index) => {
      const [child, childPlace] = convert(item, [...path, index], value, to);
      children.set(index, { ...childPlace, key: childPlace.value });
      return child;
    });
    return [items, place];
  }
  if (!isScalar(node)) return [null, place];
  const flaw = oddNumber(node);
  if (flaw !== null) to.flaws.push({ ...flaw, offset: value, path: pathText(path) });
  return [node.value, { ...place, spoiled: place.spoiled || flaw !== null }];
}

/** YAML also reads 0x1F, 0o17, .5, 5. and .inf as numbers; here as everywhere only plain decimal ones count. */
function oddNumber(node: Scalar): { words: string; expected: string; nearest: string | null } | null {
  if (typeof node.value !== 'number' || node.type !== 'PLAIN' || readNumber(node.source ?? '') !== null) return null;
  const nearest = Number.isFinite(node.value) ? String(node.value) : null;
  return {
    words: `${quote(node.source ?? '')} is no plain decimal number`,
    expected: 'a number such as 12.5, or quotes around a text',
    nearest,
  };
}

function unread(flaw: Flaw): ReadYaml {
  const root = { key: 0, value: 0, spoiled: true, children: new Map() };
  return { data: null, root, flaws: [located(flaw)], partial: true, brokenAt: 0 };
}

function located(flaw: Flaw): LocatedFlaw {
  return { ...flaw, path: '', nearest: null };
}
