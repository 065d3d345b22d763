import { describe, expect, test } from 'vitest';
import { drivers } from '../../drivers/index.ts';
import { SIG_VALUES } from '../reference/bluetooth.ts';
import { read as readLine, refusal } from './decode.ts';

const { gatt } = drivers as { gatt: (typeof drivers)[string] };
const read = (line: string, signals: object): unknown => readLine(gatt, { signals }, line);

describe('published values', () => {
  test.each(SIG_VALUES)('$uuid $bytes is $value', ({ uuid, bytes, value }) => {
    const found = read(`${uuid} ${bytes.replaceAll(' ', '').toLowerCase()}`, { it: { of: uuid } });
    if (value === null) expect(found).toBe('bad-number');
    else expect((found as { it: number }).it).toBeCloseTo(value, 9);
  });

  test.each(SIG_VALUES)('$uuid $bytes is refused with a byte more and a byte less', ({ uuid, bytes }) => {
    const hex = bytes.replaceAll(' ', '').toLowerCase();
    for (const wrong of [`${hex}00`, hex.slice(2)])
      expect(read(`${uuid} ${wrong}`, { it: { of: uuid } })).toBe('wrong-columns');
  });
});

test('a declared layout: place, type, order, scale, length', () => {
  const level = {
    of: '6F1C0001-3D52-4C1E-9A6E-0B7D5C2F8A11',
    at: 1,
    type: 'u16',
    order: 'big',
    scale: 0.125,
    length: 3,
  };
  const line = (hex: string) => read(`6f1c0001-3d52-4c1e-9a6e-0b7d5c2f8a11 ${hex}`, { level });
  expect(line('0706b8')).toEqual({ level: 215 });
  expect(line('0706b800')).toBe('wrong-columns');
  expect(line('0706')).toBe('wrong-columns');
  expect(read('2a58 0100ff', { it: { of: '2a58', type: 'i16', at: 1 } })).toEqual({ it: -256 });
  expect(read('2a58 01', { it: { of: '2a58', type: 'i16', at: 1 } })).toBe('wrong-columns');
  expect(read('2a58 0000807f', { it: { of: '2a58', type: 'f32' } })).toBe('bad-number');
});

test('several signals of one value, and what is advertised', () => {
  const signals = {
    temp: { of: 'service-data/181A', at: 0, type: 'i16', scale: 0.01 },
    battery: { of: 'service-data/181A', at: 2, type: 'u8' },
    made: { of: 'manufacturer-data/FFFF', at: 0, type: 'u8' },
  };
  expect(read('service-data/181a 660857', signals)).toEqual({ temp: 21.5, battery: 87 });
  expect(read('service-data/181a 6608', signals)).toEqual({ temp: 21.5 });
  expect(read('manufacturer-data/ffff 09', signals)).toEqual({ made: 9 });
});

test('the second characteristic of a UUID is another one than the first', () => {
  const signals = { first: { of: '2a6e.1' }, second: { of: '2a6e.2' } };
  expect(read('2a6e.2 6608', signals)).toEqual({ second: 21.5 });
  expect(read('2a6e 6608', signals)).toBe('no-match');
});

test.each([
  '',
  '2a6e',
  '2a6e 660',
  '2a6e 66 08',
  '2a6e 66G8',
  '2A6E 6608',
  '2a6f 6608',
  '6608',
  '2a6e  6608',
  '2a6e 6608 ',
])('the line "%s" is no value of 2a6e', (line) => {
  expect(read(line, { it: { of: '2a6e' } })).toBe('no-match');
});

test.each([
  [{ it: { of: '2a58' } }, /the format of 2a58 is not known here/],
  [{ it: { of: 'temp' } }, /no UUID/],
  [{ it: { of: '2a58', type: 'u32', at: 1, length: 4 } }, /u32 from byte 1 on does not fit/],
  [{ it: { of: '2a6e', scale: 0 } }, /a scale of 0/],
  [{}, /no signal is named/],
])('settings that make no sense are told', (signals, words) => {
  expect(JSON.stringify(refusal(gatt, { signals }))).toMatch(words);
});
