/**
 * Values to bytes and back. Entries are CBOR in the core deterministic form of RFC 8949 (4.2.1), one after the other: a
 * CBOR sequence (RFC 8742). The same value always gives the same bytes, so digests and comparisons mean something.
 * A half-precision subnormal of several bits comes out in single precision: longer than needed, the same every time.
 */
import { deflateRawSync, inflateRawSync } from 'node:zlib';
import { decode, decodeFirst, encode, rfc8949EncodeOptions } from 'cborg';
import type { InputOf, Outcome } from '../core/events.ts';
import { StillwellError } from '../errors.ts';
import type { Entry } from './contract.ts';

/** How the content of a block is stored: the CBOR sequence itself, or the same bytes in raw deflate (RFC 1951). */
export const PLAIN_CODEC = 1;
export const DEFLATE_CODEC = 2;

/** First element of a frame in its compact form. */
const FRAME = 1;

/** Finds out quickly that a text has no half of a pair in it, which is nearly always so. */
const HALF_PAIR = /[\uD800-\uDFFF]/;

export const STRICT = {
  strict: true,
  allowIndefinite: false,
  allowUndefined: false,
  allowNaN: false,
  allowInfinity: false,
  allowBigInt: false,
  rejectDuplicateMapKeys: true,
};

/** Why a value cannot be kept; the place is filled in on the way out. */
class NotPlain {
  readonly why: string;
  place = '';

  constructor(why: string) {
    this.why = why;
  }
}

/**
 * The value as it is kept: -0 becomes 0 and half a surrogate pair becomes U+FFFD. Whatever would not come back as it
 * went in (NaN, infinities, undefined, dates, other classes) is an error that names the place.
 */
function kept(value: unknown, where: string, infinite = false): unknown {
  try {
    return plain(value, infinite);
  } catch (error) {
    if (!(error instanceof NotPlain)) throw error;
    throw new StillwellError('journal-entry', `${where}${error.place}`, error.why);
  }
}

function plain(value: unknown, infinite = false): unknown {
  switch (typeof value) {
    case 'boolean':
      return value;
    case 'string':
      return HALF_PAIR.test(value) ? value.replace(/\p{Surrogate}/gu, '\uFFFD') : value;
    case 'number':
      if (!Number.isFinite(value) && !(infinite && !Number.isNaN(value))) throw new NotPlain(`it is ${value}`);
      return value === 0 ? 0 : value;
    case 'object':
      if (value === null || value instanceof Uint8Array) return value;
      return Array.isArray(value) ? plainArray(value, infinite) : plainObject(value, infinite);
    default:
      throw new NotPlain(`it is ${typeof value}`);
  }
}

function plainArray(value: readonly unknown[], infinite: boolean): unknown[] {
  const copy: unknown[] = [];
  for (let i = 0; i < value.length; i += 1) copy.push(inside(value[i], infinite, () => `[${i}]`));
  return copy;
}

function plainObject(value: object, infinite: boolean): Record<string, unknown> {
  const prototype: unknown = Object.getPrototypeOf(value);
  if (prototype !== Object.prototype && prototype !== null) {
    throw new NotPlain(`it is a ${value.constructor?.name ?? 'class'}, not plain data`);
  }
  const copy: Record<string, unknown> = {};
  for (const [key, item] of Object.entries(value)) {
    if (key === '__proto__') throw new NotPlain('a key __proto__ is not kept');
    copy[plain(key) as string] = inside(item, infinite, () => `.${key}`);
  }
  return copy;
}

function inside(value: unknown, infinite: boolean, place: () => string): unknown {
  try {
    return plain(value, infinite);
  } catch (error) {
    if (error instanceof NotPlain) error.place = place() + error.place;
    throw error;
  }
}

/** The one encoding of a value: equal values give equal bytes, and nothing else does. */
export function canonicalBytes(value: unknown, where = 'value'): Uint8Array {
  return encode(kept(value, where), rfc8949EncodeOptions);
}

/** Back from canonicalBytes. Throws on anything that is not strict CBOR. */
export function fromCanonicalBytes(bytes: Uint8Array): unknown {
  return decode(view(bytes), STRICT);
}

/** A core state: as canonicalBytes, but an uncertainty of which nothing is known yet may be infinite. */
export function stateBytes(state: unknown): Uint8Array {
  return encode(kept(state, 'checkpoint', true), rfc8949EncodeOptions);
}

/** Back from stateBytes. Throws on anything that is not strict CBOR. */
export function fromStateBytes(bytes: Uint8Array): unknown {
  return decode(view(bytes), { ...STRICT, allowInfinity: true });
}

/** JSON with sorted keys, for the columns that people and SQL read. Bytes have no place in it. */
export function canonicalJson(value: unknown, where = 'value'): string {
  return JSON.stringify(kept(value, where), (_key, item: unknown) => {
    if (item === null || typeof item !== 'object' || Array.isArray(item)) return item;
    if (item instanceof Uint8Array) throw new StillwellError('journal-entry', where, 'bytes have no form in JSON');
    return Object.fromEntries(Object.entries(item).sort(([a], [b]) => (a < b ? -1 : 1)));
  });
}

export function encodeEntry(entry: Entry): Uint8Array {
  if (entry.kind === 'outcome') return canonicalBytes({ outcome: entry.outcome }, 'entry');
  const { input } = entry;
  if (input.kind !== 'frame') return canonicalBytes({ input }, 'entry');
  const { seq, tUs, instrument, connection, bytes, request } = input;
  return canonicalBytes([FRAME, seq, tUs, instrument, connection, bytes, request], 'frame');
}

/** The entries of a CBOR sequence, one at a time. */
export function* decodeEntries(content: Uint8Array): Generator<Entry> {
  let rest = view(content);
  while (rest.length > 0) {
    const [value, remainder] = decodeFirst(rest, STRICT) as [unknown, Uint8Array];
    yield toEntry(value);
    rest = remainder;
  }
}

function toEntry(value: unknown): Entry {
  if (Array.isArray(value) && value[0] === FRAME && value.length === 7) {
    const [, seq, tUs, instrument, connection, bytes, request] = value as [1, ...unknown[]];
    const frame = { kind: 'frame', seq, tUs, instrument, connection, bytes, request } as InputOf<'frame'>;
    return { kind: 'input', input: frame };
  }
  if (value !== null && typeof value === 'object') {
    if ('input' in value) return { kind: 'input', input: value.input as (Entry & { kind: 'input' })['input'] };
    if ('outcome' in value) return { kind: 'outcome', outcome: value.outcome as Outcome };
  }
  throw new StillwellError('journal-damaged', 'a block', 'it holds something that is no entry');
}

/** Content of a block as it goes into its row. */
export function pack(content: Uint8Array, codec: number): Uint8Array {
  return codec === DEFLATE_CODEC ? deflateRawSync(content, { level: 6 }) : content;
}

/** Content of a block from its row; `bytes` is its length when unpacked. */
export function unpack(stored: Uint8Array, codec: number, bytes: number): Uint8Array {
  if (codec === PLAIN_CODEC) return view(stored);
  if (codec === DEFLATE_CODEC) return view(inflateRawSync(stored, { maxOutputLength: Math.max(bytes, 1) }));
  throw new StillwellError('journal-damaged', 'a block', `codec ${codec} is not known`);
}

/** A Buffer is a Uint8Array with other methods (its slice shares memory): here only the plain one is used. */
function view(bytes: Uint8Array): Uint8Array {
  return new Uint8Array(bytes.buffer, bytes.byteOffset, bytes.byteLength);
}
