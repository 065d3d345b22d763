import { expect, test } from 'vitest';
import { columns } from '../../drivers/columns/driver.ts';
import { drivers } from '../../drivers/index.ts';
import { pattern } from '../../drivers/pattern/driver.ts';
import type { AnyDriver } from '../../src/kit/driver.ts';

function decode(driver: AnyDriver, settings: unknown, line: string | Uint8Array) {
  const options = driver.options.parse(settings);
  const bytes = typeof line === 'string' ? new TextEncoder().encode(line) : line;
  return driver.decode({ bytes, seq: 1, tUs: 0, request: 0 }, driver.init(options), options).items;
}

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
  expect(pattern.options.safeParse({ pattern: 'T=' }).error?.issues[0]?.message).toContain('no number in it');
});

test('columns: named columns give their numbers, skipped ones nothing', () => {
  const settings = { separator: ';', columns: ['_', 'level', '_', 'echo'] };
  expect(decode(columns, settings, 'sonar; 62.31 ;mm;87')).toEqual([signal('level', 62.31), signal('echo', 87)]);
});

test('columns: blanks as separator count as one', () => {
  expect(decode(columns, { separator: ' ', columns: ['a', 'b'] }, ' 1   2\t')).toEqual([
    signal('a', 1),
    signal('b', 2),
  ]);
});

test('columns: one bad field discards the line, a missing one too unless it may be skipped', () => {
  const columnsAB = { columns: ['a', 'b'] };
  expect(decode(columns, columnsAB, '1,0x2')).toEqual([discarded('bad-number')]);
  expect(decode(columns, columnsAB, '1,')).toEqual([discarded('empty')]);
  expect(decode(columns, columnsAB, '1,2,3')).toEqual([discarded('wrong-columns')]);
  expect(decode(columns, { ...columnsAB, blanks: 'skip' }, '1,')).toEqual([signal('a', 1)]);
});

test('columns: settings that cannot work are refused', () => {
  expect(columns.options.safeParse({ columns: ['_'] }).success).toBe(false);
  expect(columns.options.safeParse({ columns: ['a', 'a'] }).success).toBe(false);
  expect(columns.options.safeParse({ columns: ['a'], colums: 1 }).success).toBe(false);
});
