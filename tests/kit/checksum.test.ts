import fc from 'fast-check';
import { expect, test } from 'vitest';
import { CHECKSUMS, checksum, checksumBytes } from '../../src/kit/checksum.ts';
import { CHECK_TEXT, CHECK_VALUES, MODBUS_FRAMES, NMEA_SENTENCES, SCRATCHPADS } from '../reference/protocols.ts';

const SEED = Number(process.env.STILLWELL_SEED ?? 1);
const ascii = (text: string) => new TextEncoder().encode(text);
const hex = (text: string) => Uint8Array.from(text.split(' '), (pair) => Number.parseInt(pair, 16));

test.each(CHECK_VALUES)('$kind has its published check value', ({ kind, value }) => {
  expect(checksum(kind, ascii(CHECK_TEXT))).toBe(value);
});

test('every kind has a published check value', () => {
  expect(CHECK_VALUES.map(({ kind }) => kind).toSorted()).toEqual([...CHECKSUMS].toSorted());
});

test.each(MODBUS_FRAMES)('crc-16-modbus gives the published frame $frame', ({ frame }) => {
  const bytes = hex(frame);
  const crc = checksum('crc-16-modbus', bytes, 0, bytes.length - 2);
  expect([crc & 0xff, crc >> 8]).toEqual([...bytes.subarray(-2)]);
});

test.each(NMEA_SENTENCES)('xor gives the published sentence $sentence', ({ sentence }) => {
  const star = sentence.indexOf('*');
  expect(checksum('xor', ascii(sentence), 1, star)).toBe(Number.parseInt(sentence.slice(star + 1), 16));
});

test.each(SCRATCHPADS)('crc-8-maxim-dow gives the published bytes $bytes', ({ bytes }) => {
  const all = hex(bytes);
  expect(checksum('crc-8-maxim-dow', all, 0, 8)).toBe(all[8]);
});

test.each(CHECKSUMS)(`%s tells every damaged byte (seed ${SEED})`, (kind) => {
  fc.assert(
    fc.property(
      fc.uint8Array({ minLength: 1, maxLength: 60 }),
      fc.nat(),
      fc.integer({ min: 1, max: 255 }),
      (bytes, at, mask) => {
        const place = at % bytes.length;
        const damaged = bytes.with(place, (bytes[place] as number) ^ mask);
        expect(checksum(kind, damaged)).not.toBe(checksum(kind, bytes));
        expect(checksum(kind, bytes)).toBeLessThan(2 ** (8 * checksumBytes(kind)));
      },
    ),
    { seed: SEED, numRuns: 300 },
  );
});
