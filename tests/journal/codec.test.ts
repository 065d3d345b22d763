import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import type { Input } from '../../src/core/events.ts';
import {
  canonicalBytes,
  canonicalJson,
  DEFLATE_CODEC,
  decodeEntries,
  encodeEntry,
  fromCanonicalBytes,
  fromStateBytes,
  PLAIN_CODEC,
  pack,
  stateBytes,
  unpack,
} from '../../src/journal/codec.ts';
import type { Entry } from '../../src/journal/contract.ts';
import { anyEntry } from './arbitrary.ts';

const seed = Number(process.env.SEED ?? 20240603);
const hex = (value: unknown) => Buffer.from(canonicalBytes(value)).toString('hex');
const sequence = (entries: readonly Entry[]) => new Uint8Array(Buffer.concat(entries.map(encodeEntry)));

describe('entries', () => {
  test(`come back exactly as they went in, every kind (seed ${seed})`, () => {
    const kinds = new Set<string>();
    fc.assert(
      fc.property(fc.array(anyEntry, { maxLength: 5 }), (entries) => {
        for (const entry of entries)
          kinds.add(`${entry.kind} ${entry.kind === 'input' ? entry.input.kind : entry.outcome.kind}`);
        expect([...decodeEntries(sequence(entries))]).toStrictEqual(entries);
      }),
      { seed, numRuns: 500 },
    );
    expect(kinds.size).toBe(9 + 19);
  });

  test(`are the same bytes again when what was decoded is encoded (seed ${seed})`, () => {
    fc.assert(
      fc.property(anyEntry, (entry) => {
        const bytes = encodeEntry(entry);
        expect([...decodeEntries(bytes)].map(encodeEntry)).toStrictEqual([bytes]);
      }),
      { seed },
    );
  });

  test('of a Buffer in shared memory come back as bytes of their own', () => {
    const shared = Buffer.from('xx T=21.5 yy').subarray(3, 9);
    const input: Input = { kind: 'frame', seq: 1, tUs: 2, instrument: 'a', connection: 1, bytes: shared, request: 0 };
    const content = Buffer.from(encodeEntry({ kind: 'input', input }));
    const [back] = [...decodeEntries(content)];
    content.fill(0);
    shared.fill(0);
    const bytes = new Uint8Array([0x54, 0x3d, 0x32, 0x31, 0x2e, 0x35]);
    expect(back).toStrictEqual({ kind: 'input', input: { ...input, bytes } });
  });

  test('frames are compact: a short line costs less than 45 bytes', () => {
    const bytes = Buffer.from('T=23.456 L=123.45');
    const frame: Input = { kind: 'frame', seq: 1e6, tUs: 3.6e9, instrument: 'level', connection: 1, bytes, request: 0 };
    expect(encodeEntry({ kind: 'input', input: frame }).length).toBeLessThan(45);
  });

  test('a content that is cut short or followed by something else is an error', () => {
    const bytes = encodeEntry({ kind: 'input', input: { kind: 'tick', seq: 1, tUs: 2 } });
    expect(() => [...decodeEntries(bytes.subarray(0, -1))]).toThrow();
    expect(() => [...decodeEntries(new Uint8Array([...bytes, 0x00]))]).toThrow(/no entry/);
  });

  test.each([
    ['NaN', Number.NaN],
    ['Infinity', Number.POSITIVE_INFINITY],
    ['-Infinity', Number.NEGATIVE_INFINITY],
    ['undefined', undefined],
    ['a date', new Date(0)],
    ['a map', new Map()],
    ['a bigint', 1n],
    ['a function', () => 0],
    ['other typed arrays', new Float64Array(1)],
    ['a hole', new Array(1)],
  ])('with %s inside are refused, and the place is named', (_name, wrong) => {
    const input = { kind: 'link', seq: 1, tUs: 2, detail: { deep: [0, wrong] } } as unknown as Input;
    expect(() => encodeEntry({ kind: 'input', input })).toThrow(/entry\.input\.detail\.deep\[1\].*\[journal-entry\]/s);
  });

  test('a frame with a number that is none is refused', () => {
    const bytes = new Uint8Array(1);
    const frame: Input = { kind: 'frame', seq: 1, tUs: Number.NaN, instrument: 'a', connection: 1, bytes, request: 0 };
    expect(() => encodeEntry({ kind: 'input', input: frame })).toThrow(/frame\[2\].*NaN/);
  });

  test('a key that would change the object itself is refused', () => {
    const value = JSON.parse('{"a":{"__proto__":{"x":1}}}') as unknown;
    expect(() => canonicalBytes(value)).toThrow(/__proto__/);
  });
});

test('the bytes of a state hold what nothing is known of as infinite, and refuse NaN', () => {
  const state = { fluid: { u: Number.POSITIVE_INFINITY, low: [Number.NEGATIVE_INFINITY, 1.5] } };
  expect(fromStateBytes(stateBytes(state))).toStrictEqual(state);
  // RFC 8949, appendix A.
  expect(Buffer.from(stateBytes(Number.POSITIVE_INFINITY)).toString('hex')).toBe('f97c00');
  expect(() => stateBytes({ fluid: { u: Number.NaN } })).toThrow(/checkpoint\.fluid\.u.*NaN/);
});

describe('canonical bytes', () => {
  // RFC 8949, appendix A: the examples that the core deterministic encoding shares.
  test.each([
    [0, '00'],
    [23, '17'],
    [24, '1818'],
    [1000, '1903e8'],
    [1000000000000, '1b000000e8d4a51000'],
    [-1, '20'],
    [-1000, '3903e7'],
    [1.5, 'f93e00'],
    [65504.5, 'fa477fe080'],
    [100000.5, 'fa47c35040'],
    [3.4028234663852886e38, 'fa7f7fffff'],
    [1.1, 'fb3ff199999999999a'],
    [1.0e300, 'fb7e37e43c8800759c'],
    [1 / 2 ** 24, 'f90001'],
    [0.00006103515625, 'f90400'],
    [-4.1, 'fbc010666666666666'],
    [false, 'f4'],
    [true, 'f5'],
    [null, 'f6'],
    ['', '60'],
    ['IETF', '6449455446'],
    ['\u00fc', '62c3bc'],
    ['\ud800\udd51', '64f0908591'],
    [[], '80'],
    [[1, [2, 3], [4, 5]], '8301820203820405'],
    [{}, 'a0'],
    [{ a: 1, b: [2, 3] }, 'a26161016162820203'],
    [new Uint8Array([1, 2, 3, 4]), '4401020304'],
  ])('of %j are %s', (value, expected) => {
    expect(hex(value)).toBe(expected);
    expect(fromCanonicalBytes(canonicalBytes(value))).toStrictEqual(value);
  });

  test('do not depend on the order of keys; keys stand in the order of their encoded bytes', () => {
    expect(hex({ bb: 1, a: 2, c: 3 })).toBe(hex({ c: 3, a: 2, bb: 1 }));
    expect(hex({ bb: 1, a: 2, c: 3 })).toBe('a36161026163036262' + '6201');
  });

  test('-0 becomes 0, half a surrogate pair becomes U+FFFD, in bytes and in JSON', () => {
    expect(hex(-0)).toBe('00');
    expect(Object.is(fromCanonicalBytes(canonicalBytes(-0)), 0)).toBe(true);
    expect(canonicalJson([-0])).toBe('[0]');
    expect(fromCanonicalBytes(canonicalBytes('a\ud800b'))).toBe('a\ufffdb');
    expect(canonicalJson('a\ud800b')).toBe('"a\ufffdb"');
  });

  test(`tell any two different values apart (seed ${seed})`, () => {
    fc.assert(
      fc.property(anyEntry, anyEntry, (a, b) => {
        expect(hex(a) === hex(b)).toBe(canonicalJson(plainOf(a)) === canonicalJson(plainOf(b)));
      }),
      { seed },
    );
  });
});

/** Bytes as a list of numbers, for a comparison by another way. */
function plainOf(entry: Entry): unknown {
  return JSON.parse(
    JSON.stringify(entry, (_key, value: unknown) => (value instanceof Uint8Array ? [...value] : value)),
  );
}

describe('canonical JSON', () => {
  test('sorts keys at every depth and keeps numbers exactly', () => {
    const value = { b: [{ d: 1, c: 0.1 + 0.2 }], a: null };
    expect(canonicalJson(value)).toBe('{"a":null,"b":[{"c":0.30000000000000004,"d":1}]}');
  });

  test('has no form for bytes', () => {
    expect(() => canonicalJson({ bytes: new Uint8Array(1) })).toThrow(/bytes/);
  });
});

describe('codecs', () => {
  test.each([PLAIN_CODEC, DEFLATE_CODEC])('codec %i gives the content back', (codec) => {
    const content = new Uint8Array(5000).map((_, i) => (i * i) % 251);
    const stored = pack(content, codec);
    expect(unpack(Buffer.from(stored), codec, content.length)).toStrictEqual(content);
  });

  test('an unknown codec and a content that unpacks to too much are errors', () => {
    expect(() => unpack(new Uint8Array(1), 3, 1)).toThrow(/codec 3/);
    expect(() => unpack(pack(new Uint8Array(1000), DEFLATE_CODEC), DEFLATE_CODEC, 999)).toThrow();
  });
});
