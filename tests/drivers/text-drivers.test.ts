import { expect, test } from 'vitest';
import { columns } from '../../drivers/columns/driver.ts';
import { drivers } from '../../drivers/index.ts';
import { pattern } from '../../drivers/pattern/driver.ts';
import { decode, read, refusal } from './decode.ts';

const signal = (name: string, value: number) => ({ kind: 'signal', signal: name, value });
const discarded = (reason: string) => ({ kind: 'discarded', reason });

test('every driver stands in the registry under its own name', () => {
  for (const [name, driver] of Object.entries(drivers)) expect(driver.name).toBe(name);
});

test('pattern: a line gives its named numbers', () => {
  const settings = { pattern: 'T={temp} C heater={...}' };
  expect(decode(pattern, settings, 'T=41.25 C heater=on')).toEqual([signal('temp', 41.25)]);
  expect(pattern.signals(settings)).toEqual(['temp']);
});

test('pattern: boot chatter, damage and noise are discarded with a reason', () => {
  const settings = { pattern: 'T={temp} C' };
  expect(decode(pattern, settings, 'boot ok')).toEqual([discarded('no-match')]);
  expect(decode(pattern, settings, 'T=4x.25 C')).toEqual([discarded('bad-number')]);
  expect(decode(pattern, settings, new Uint8Array([84, 61, 0, 49]))).toEqual([discarded('non-text')]);
});

test('pattern: a pattern that cannot work is refused in words', () => {
  expect(refusal(pattern, { pattern: 'T=' })).toContain('no number in it');
});

test('pattern: a comma is a decimal only if the bench says so, and then a point is none', () => {
  const comma = { pattern: 'T={temp} C', decimal: 'comma' };
  expect(read(pattern, comma, 'T=41,25 C')).toEqual({ temp: 41.25 });
  expect(read(pattern, comma, 'T=-7 C')).toEqual({ temp: -7 });
  expect(read(pattern, comma, 'T=41.25 C')).toBe('bad-number');
  expect(read(pattern, comma, 'T=1.041,25 C')).toBe('bad-number');
  expect(read(pattern, { pattern: 'T={temp} C' }, 'T=41,25 C')).toBe('bad-number');
  expect(read(pattern, { pattern: '{a},{b};', decimal: 'comma' }, '1,5,2,5;')).toEqual({ a: 1.5, b: 2.5 });
});

test('pattern: with a checksum the pattern describes what stands before it', () => {
  const settings = { pattern: '$T={temp} C', checksum: { kind: 'xor', start: '$', after: '*' } };
  // T=41.25 C: 54 3D 34 31 2E 32 35 20 43, exclusive or 26 by hand
  expect(read(pattern, settings, '$T=41.25 C*26')).toEqual({ temp: 41.25 });
  expect(read(pattern, settings, '$T=41.26 C*26')).toBe('checksum');
  expect(read(pattern, settings, '$T=41.25 C')).toBe('checksum');
  expect(pattern.checked?.(pattern.options.parse(settings))).toBe(true);
  expect(pattern.checked?.(pattern.options.parse({ pattern: '{a}' }))).toBe(false);
});

test('columns: named columns give their numbers, skipped ones nothing', () => {
  const settings = { separator: ';', columns: ['_', 'level', '_', 'echo'] };
  expect(decode(columns, settings, 'sonar; 62.31 ;mm;87')).toEqual([signal('level', 62.31), signal('echo', 87)]);
});

test('columns: blanks as separator count as one', () => {
  expect(read(columns, { separator: ' ', columns: ['a', 'b'] }, ' 1   2\t')).toEqual({ a: 1, b: 2 });
});

test('columns: one bad field discards the line, a missing one too unless it may be skipped', () => {
  const columnsAB = { columns: ['a', 'b'] };
  expect(read(columns, columnsAB, '1,0x2')).toBe('bad-number');
  expect(read(columns, columnsAB, '1,')).toBe('empty');
  expect(read(columns, columnsAB, '1,2,3')).toBe('wrong-columns');
  expect(read(columns, { ...columnsAB, blanks: 'skip' }, '1,')).toEqual({ a: 1 });
  expect(read(columns, { ...columnsAB, blanks: 'skip' }, ' ,')).toBe('empty');
});

test('columns: decimals after a comma, with another separator', () => {
  const settings = { separator: ';', columns: ['a', 'b'], decimal: 'comma' };
  expect(read(columns, settings, '12,5;-0,25')).toEqual({ a: 12.5, b: -0.25 });
  expect(read(columns, settings, '12.5;1')).toBe('bad-number');
});

test('columns: settings that cannot work are refused', () => {
  expect(refusal(columns, { columns: ['_'] })).toContain('name at least one column');
  expect(refusal(columns, { columns: ['a', 'a'] })).toContain('a name stands twice');
  expect(refusal(columns, { columns: ['a'], colums: 1 })).toContain('colums');
  expect(refusal(columns, { columns: ['a'], decimal: 'comma' })).toContain('a comma cannot stand both');
  expect(refusal(columns, { columns: ['a'], checksum: { kind: 'crc-16', after: '*' } })).not.toBeNull();
});

test('settings without the shared ones stay as they were, so that kept records replay', () => {
  expect(pattern.options.parse({ pattern: '{a}' })).toEqual({ pattern: '{a}' });
  expect(columns.options.parse({ columns: ['a'] })).toEqual({ separator: ',', columns: ['a'], blanks: 'discard' });
});
