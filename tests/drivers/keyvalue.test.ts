import { expect, test } from 'vitest';
import { keyvalue } from '../../drivers/keyvalue/driver.ts';
import { read, refusal } from './decode.ts';

const TD = { signals: { temp: 'T', level: 'D' } };

test.each([
  ['T=41.25 D=62.31', { temp: 41.25, level: 62.31 }],
  ['D=62.31   T=41.25', { level: 62.31, temp: 41.25 }],
  ['n=17 T = 41.25 D =62.31 ok', { temp: 41.25, level: 62.31 }],
  ['T=41.25', { temp: 41.25 }],
  ['\tT=-4 ', { temp: -4 }],
  ['DATA T=41.25 D62.31', { temp: 41.25 }],
  ['n=17 ok=1', 'no-match'],
  ['press board 2', 'no-match'],
  ['t=41.25', 'no-match'],
  ['T=41.25 D=62.31 T=41.26', 'no-match'],
  ['n=1 T=41.25 n=2', 'no-match'],
  ['T=41.25 D=---', 'bad-number'],
  ['T=41,25', 'bad-number'],
  ['T=0x1F', 'bad-number'],
  ['T=41.25C', 'bad-number'],
  ['T= D=62.31', 'bad-number'],
  ['T=', 'empty'],
  ['T=41.25=5', 'bad-number'],
])('keyvalue: the line %j gives %j', (line, expected) => {
  expect(read(keyvalue, TD, line)).toEqual(expected);
});

test('keyvalue: declared separators, units and decimals', () => {
  const settings = {
    signals: { level: { key: 'D', unit: 'mm' }, temp: { key: 'Öl', unit: '°C' } },
    between: ';',
    equals: ':',
    decimal: 'comma',
  };
  expect(read(keyvalue, settings, 'n:3; Öl : 41,25 °C ;D:62,31mm')).toEqual({ level: 62.31, temp: 41.25 });
  expect(read(keyvalue, settings, 'D:62,31')).toBe('bad-number');
  expect(read(keyvalue, settings, 'D:62,31cm')).toBe('bad-number');
  expect(read(keyvalue, settings, 'D:62.31mm')).toBe('bad-number');
  expect(keyvalue.signals(keyvalue.options.parse(settings))).toEqual(['level', 'temp']);
});

test('keyvalue: keys that every object inherits are keys like any other', () => {
  const settings = { signals: { a: 'constructor', b: '__proto__' } };
  expect(read(keyvalue, settings, 'x=1')).toBe('no-match');
  expect(read(keyvalue, settings, 'constructor=1 __proto__=2')).toEqual({ a: 1, b: 2 });
});

test.each([
  [{ signals: {} }, 'no signal is named'],
  [{ signals: { '1a': 'T' } }, 'a signal is named with letters'],
  [{ signals: { t: 'T' }, between: ',', decimal: 'comma' }, 'a comma cannot stand both'],
  [{ signals: { t: 'T' }, between: ' = ' }, 'the same text cannot stand'],
  [{ signals: { t: 'T' }, beetween: ';' }, 'beetween'],
])('keyvalue: settings %j are refused in words', (settings, words) => {
  expect(JSON.stringify(keyvalue.options.safeParse(settings).error?.issues)).toContain(words);
  expect(refusal(keyvalue, settings)).not.toBeNull();
});
