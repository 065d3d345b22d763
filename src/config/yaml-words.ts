/** What the YAML library reports, in words for someone who has never read the YAML specification. */
import type { ErrorCode, YAMLError } from 'yaml';

/** Something wrong at one place of the text. */
export interface Flaw {
  readonly offset: number;
  readonly words: string;
  readonly expected: string;
}

const QUOTES = 'quotes around a text that holds { } [ ] , : # or quotes';
export const KEY_VALUE = 'one "key: value" a line, with a blank after the colon';
const SAME_COLUMN = 'keys of one block beginning in the same column';
const SPARE = ['this is more than the file needs', 'a plain value'] as const;

const WORDS: Readonly<Record<ErrorCode, readonly [words: string, expected: string]>> = {
  ALIAS_PROPS: SPARE,
  BAD_ALIAS: ['this reference cannot be followed', 'the value itself, or quotes around a text that begins with *'],
  BAD_COLLECTION_TYPE: SPARE,
  BAD_DIRECTIVE: ['a line that begins with % is not read', 'a key'],
  BAD_DQ_ESCAPE: ['this backslash stands before nothing known', "single quotes ('), in which a backslash is itself"],
  BAD_INDENT: ['this line does not stand in the column of its block', SAME_COLUMN],
  BAD_PROP_ORDER: SPARE,
  BAD_SCALAR_START: ['a text cannot begin with this character', 'quotes around it'],
  BLOCK_AS_IMPLICIT_KEY: ['a second key or a second ": " on one line', QUOTES],
  BLOCK_IN_FLOW: ['a block cannot stand inside { } or [ ]', 'all of it on one line, or none of it in brackets'],
  DUPLICATE_KEY: ['this key stands here twice', 'each key once'],
  IMPOSSIBLE: ['this cannot be read', KEY_VALUE],
  KEY_OVER_1024_CHARS: ['this key is endless', KEY_VALUE],
  MISSING_CHAR: ['something is missing here', KEY_VALUE],
  MULTILINE_IMPLICIT_KEY: ['a key stands without ": " after it', KEY_VALUE],
  MULTIPLE_ANCHORS: SPARE,
  MULTIPLE_DOCS: ['a second document begins here', 'one document in one file'],
  MULTIPLE_TAGS: SPARE,
  NON_STRING_KEY: ['this cannot be a key', 'a name before the colon'],
  RESOURCE_EXHAUSTION: ['this is nested too deeply', 'the few levels that a bench needs'],
  TAB_AS_INDENT: ['a tab stands at the beginning of the line', 'blanks: YAML takes no tabs there'],
  TAG_RESOLVE_FAILED: SPARE,
  UNEXPECTED_TOKEN: ['this is not expected here', QUOTES],
};

/** The first fault of a text, where a person would mend it. The others may follow from it. */
export function firstFault(errors: readonly YAMLError[], text: string): Flaw[] {
  const from = errors.reduce((least, { pos }) => Math.min(least, pos[0]), Number.POSITIVE_INFINITY);
  const here = errors.filter(({ pos }) => pos[0] === from);
  // A key that runs over two lines is also reported as one that begins in a wrong place.
  const first = here.find(({ code }) => code === 'MULTILINE_IMPLICIT_KEY') ?? here[0];
  return first === undefined ? [] : [flawOf(first, text)];
}

function flawOf({ code, pos: [from, to] }: YAMLError, text: string): Flaw {
  const [words, expected] = WORDS[code];
  if (code === 'BAD_INDENT') return indentFlaw(from, text);
  if (code === 'MULTILINE_IMPLICIT_KEY' && text.slice(text.lastIndexOf('\n', from - 1) + 1, from).trim() !== '') {
    // The value of one line runs on into the next, which is a key: that one stands too deep.
    const offset = contentFrom(text, text.lastIndexOf('\n', to - 1) + 1);
    return { offset, words: 'this line is indented under a key that already has its value', expected: SAME_COLUMN };
  }
  return { offset: from, words, expected };
}

/** The line that stands wrong, or the one above it whose colon is missing. */
function indentFlaw(from: number, text: string): Flaw {
  const offset = contentFrom(text, text.lastIndexOf('\n', from - 1) + 1);
  const above = text.slice(0, text.lastIndexOf('\n', offset - 1) + 1).split('\n');
  let start = above.reduce((sum, line) => sum + line.length + 1, -1);
  for (const line of above.toReversed()) {
    start -= line.length;
    if (/^\s*[^\s#]/.test(line)) {
      if (/:(\s|$)|^\s*-/.test(line)) break;
      const [words, expected] = WORDS.MULTILINE_IMPLICIT_KEY;
      return { offset: contentFrom(text, start), words, expected };
    }
    start -= 1;
  }
  const [words, expected] = WORDS.BAD_INDENT;
  return { offset, words, expected };
}

/** The first character from here on that is neither blank nor part of a comment. */
function contentFrom(text: string, from: number): number {
  const found = /[^\s#]|#.*/g;
  found.lastIndex = from;
  for (let match = found.exec(text); match !== null; match = found.exec(text)) {
    if (!match[0].startsWith('#')) return match.index;
  }
  return from;
}
