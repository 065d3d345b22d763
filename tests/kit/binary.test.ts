import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { NUMBER_TYPES, numberAt, WIDTHS } from '../../src/kit/binary.ts';
import { characteristicName, uuidName, valueName } from '../../src/kit/uuid.ts';
import { MEDFLOATS } from '../reference/bluetooth.ts';

const bytes = (hex: string): Uint8Array => Uint8Array.from(hex.split(' '), (pair) => Number.parseInt(pair, 16));

test.each(MEDFLOATS)('the IEEE 11073 float $bytes is $value', ({ word, bytes: hex, value }) => {
  expect(numberAt(bytes(hex), 0, 'medfloat32', 'little')).toBe(value ?? Number.NaN);
  const turned = bytes(hex).toReversed();
  expect(new DataView(turned.buffer).getUint32(0)).toBe(word);
  expect(numberAt(turned, 0, 'medfloat32', 'big')).toBe(value ?? Number.NaN);
});

test.each([
  ['16 bits of a float: 114 (from memory: the transcoding white paper)', '72 00', 114],
  ['with an exponent: 36.4', '6C F1', 36.4],
  ['negative: −0.5', 'FB FF', -0.5],
  ['not a number', 'FF 07', Number.NaN],
  ['not at this resolution', '00 08', Number.NaN],
  ['+∞', 'FE 07', Number.NaN],
  ['−∞', '02 08', Number.NaN],
  ['reserved', '01 08', Number.NaN],
])('%s', (_, hex, value) => {
  expect(numberAt(bytes(hex), 0, 'medfloat16', 'little')).toBe(value);
});

describe('against DataView and Buffer', () => {
  const any = fc.uint8Array({ minLength: 8, maxLength: 12 });
  const READ: Readonly<Record<string, (view: Buffer, at: number, little: boolean) => number>> = {
    u8: (view, at) => view.readUInt8(at),
    i8: (view, at) => view.readInt8(at),
    u16: (view, at, little) => (little ? view.readUInt16LE(at) : view.readUInt16BE(at)),
    i16: (view, at, little) => (little ? view.readInt16LE(at) : view.readInt16BE(at)),
    u24: (view, at, little) => (little ? view.readUIntLE(at, 3) : view.readUIntBE(at, 3)),
    i24: (view, at, little) => (little ? view.readIntLE(at, 3) : view.readIntBE(at, 3)),
    u32: (view, at, little) => (little ? view.readUInt32LE(at) : view.readUInt32BE(at)),
    i32: (view, at, little) => (little ? view.readInt32LE(at) : view.readInt32BE(at)),
    f32: (view, at, little) => (little ? view.readFloatLE(at) : view.readFloatBE(at)),
    f64: (view, at, little) => (little ? view.readDoubleLE(at) : view.readDoubleBE(at)),
  };
  test.each(NUMBER_TYPES.filter((type) => !type.startsWith('med')))('%s', (type) => {
    fc.assert(
      fc.property(any, fc.boolean(), fc.integer({ min: 0, max: 12 }), (raw, little, at) => {
        const found = numberAt(raw, at, type, little ? 'little' : 'big');
        const fits = at + WIDTHS[type] <= raw.length;
        expect(found).toBe(fits ? (READ[type]?.(Buffer.from(raw), at, little) as number) + 0 : Number.NaN);
      }),
      { seed: 3 },
    );
  });
});

test.each([
  ['2A6E', '2a6e'],
  ['0x2a6e', '2a6e'],
  ['00002A6E-0000-1000-8000-00805F9B34FB', '2a6e'],
  ['0001181a', '0001181a'],
  ['6F1C0001-3D52-4C1E-9A6E-0B7D5C2F8A11', '6f1c0001-3d52-4c1e-9a6e-0b7d5c2f8a11'],
  ['2a6', null],
  ['2a6g', null],
  ['6f1c0001-3d52-4c1e-9a6e', null],
  ['', null],
])('the UUID %s is named %s', (text, name) => {
  expect(uuidName(text)).toBe(name);
});

test('names of values', () => {
  expect(characteristicName('2A6E.2')).toBe('2a6e.2');
  expect(characteristicName('2A6E.0')).toBeNull();
  expect(valueName('Service-Data/181A')).toBe('service-data/181a');
  expect(valueName('manufacturer-data/FFFF')).toBe('manufacturer-data/ffff');
  expect(valueName('manufacturer-data/6f1c0001-3d52-4c1e-9a6e-0b7d5c2f8a11')).toBeNull();
  expect(valueName('rssi')).toBeNull();
});
