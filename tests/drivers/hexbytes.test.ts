import { describe, expect, test } from 'vitest';
import { hexbytes } from '../../drivers/hexbytes/driver.ts';
import { MODBUS_FRAMES, SCRATCHPADS } from '../reference/protocols.ts';
import { read, refusal } from './decode.ts';

const one = (type: string, length: number, more: object = {}) => ({ length, signals: { v: { at: 0, type, ...more } } });

describe('numbers by type and order', () => {
  test.each([
    ['u8', 1, 'FF', {}, 255],
    ['i8', 1, 'FF', {}, -1],
    ['u16', 2, '12 34', {}, 0x1234],
    ['u16', 2, '12 34', { order: 'little' }, 0x3412],
    ['i16', 2, 'FF FE', {}, -2],
    ['i16', 2, '00 80', { order: 'little' }, -32768],
    ['u32', 4, 'FF FF FF FE', {}, 4294967294],
    ['i32', 4, 'FF FF FF FE', {}, -2],
    ['i32', 4, 'FE FF FF FF', { order: 'little' }, -2],
    // IEEE 754: 42C80000 is 100, 3DCCCCCD the single nearest to 0.1
    ['f32', 4, '42C80000', {}, 100],
    ['f32', 4, 'CD CC CC 3D', { order: 'little' }, Math.fround(0.1)],
    ['f32', 4, '80 00 00 00', {}, 0],
    ['i16', 2, 'FD F3', { scale: 0.01 }, -525 * 0.01],
    ['u8', 1, '1a', { scale: -2 }, -52],
  ])('%s of %d bytes from %s with %j is %d', (type, length, line, more, value) => {
    expect(read(hexbytes, one(type, length, more), line)).toEqual({ v: value });
  });

  test.each(['7F 80 00 00', 'FF 80 00 00', '7F C0 00 00'])('f32 %s is no number', (line) => {
    expect(read(hexbytes, one('f32', 4), line)).toBe('bad-number');
  });
});

test.each([
  ['1A 2F 00 C8', { v: 0x1a2f }],
  ['1a2f00c8', { v: 0x1a2f }],
  ['  1A\t2F00   C8 ', { v: 0x1a2f }],
  ['1A 2F 00', 'wrong-columns'],
  ['1A 2F 00 C8 00', 'wrong-columns'],
  ['1A2 F00C8', 'no-match'],
  ['1A 2F 0 C8', 'no-match'],
  ['1A 2G 00 C8', 'no-match'],
  ['0x1A2F00C8', 'no-match'],
  ['-1A2F00C8', 'no-match'],
  ['', 'no-match'],
  ['ready', 'no-match'],
])('the line %j gives %j', (line, expected) => {
  expect(read(hexbytes, one('u16', 4), line)).toEqual(expected);
});

test('text before the bytes and a header must be there', () => {
  const settings = { ...one('u8', 2), before: 'DATA:', header: '1a' };
  expect(read(hexbytes, settings, 'DATA: 1A 2F')).toEqual({ v: 26 });
  expect(read(hexbytes, settings, '1A 2F')).toBe('no-match');
  expect(read(hexbytes, settings, 'DATA: 1B 2F')).toBe('no-match');
});

describe('check values in the bytes themselves', () => {
  test.each(MODBUS_FRAMES)('the published frame $frame is whole, and no frame with a damaged digit', ({ frame }) => {
    const length = frame.split(' ').length;
    const settings = { ...one('u8', length), check: { kind: 'crc-16-modbus', order: 'little' } };
    expect(read(hexbytes, settings, frame)).toEqual({ v: Number.parseInt(frame.slice(0, 2), 16) });
    for (let at = 0; at < frame.length; at++) {
      if (frame[at] === ' ') continue;
      const damaged = `${frame.slice(0, at)}${frame[at] === '0' ? '8' : '0'}${frame.slice(at + 1)}`;
      expect(read(hexbytes, settings, damaged)).toBe('checksum');
    }
    expect(read(hexbytes, { ...settings, check: { kind: 'crc-16-modbus' } }, frame)).toBe('checksum');
  });

  const thermometer = {
    length: 9,
    signals: { temp: { at: 0, type: 'i16', order: 'little', scale: 0.0625 } },
    check: { kind: 'crc-8-maxim-dow' },
  };

  test.each(SCRATCHPADS)('the published bytes $bytes are $celsius °C', ({ bytes, celsius }) => {
    expect(read(hexbytes, thermometer, bytes)).toEqual({ temp: celsius });
  });

  test('a dead line that reads as zeros, or as ones, gives nothing', () => {
    expect(read(hexbytes, thermometer, '00'.repeat(9))).toBe('checksum');
    expect(read(hexbytes, thermometer, 'FF'.repeat(9))).toBe('checksum');
  });
});

test('a check value printed as text after the bytes', () => {
  const settings = { ...one('u8', 2), checksum: { kind: 'sum-8', after: '#', form: 'decimal' } };
  // "1A2F" as text: 49 + 65 + 50 + 70 = 234
  expect(read(hexbytes, settings, '1A2F#234')).toEqual({ v: 26 });
  expect(read(hexbytes, settings, '1A2F#235')).toBe('checksum');
});

test.each([
  [one('u32', 3), 'u32 from byte 0 on does not fit into 3 bytes'],
  [{ ...one('u16', 3), check: { kind: 'crc-16-modbus' } }, 'does not fit into 1 byte before the check value'],
  [{ ...one('u8', 3), header: '1A 2' }, 'not bytes: pairs of hexadecimal digits'],
  [one('u8', 3, { scale: 0 }), 'a scale of 0 leaves nothing'],
  [{ length: 3, signals: {} }, 'no signal is named'],
])('settings %j are refused in words', (settings, words) => {
  expect(refusal(hexbytes, settings)).toContain(words);
});
