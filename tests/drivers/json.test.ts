import { expect, test } from 'vitest';
import { boundedJson } from '../../drivers/json/bounded.ts';
import { json } from '../../drivers/json/driver.ts';
import { read, refusal } from './decode.ts';

const PATHS = { signals: { temp: 'probe.t', level: 'echo.0.mm' } };

test.each([
  ['{"probe":{"t":41.25},"echo":[{"mm":62.3}]}', { temp: 41.25, level: 62.3 }],
  [' { "echo" : [ { "mm" : -5 } ] } ', { level: -5 }],
  ['{"probe":{"t":1.5e1}}', { temp: 15 }],
  ['{"probe":{"t":-0}}', { temp: 0 }],
  ['{"probe":{"t":null},"echo":[{"mm":1}]}', { level: 1 }],
  ['{"probe":{"t":null}}', 'empty'],
  ['{"boot":"ok"}', 'no-match'],
  ['{"probe":"t"}', 'no-match'],
  ['{"echo":{"0":{"mm":7}}}', { level: 7 }],
  ['{"probe":{"t":"41.25"}}', 'bad-number'],
  ['{"probe":{"t":true}}', 'bad-number'],
  ['{"probe":{"t":[41]}}', 'bad-number'],
  ['{"probe":{"t":1e999}}', 'bad-number'],
  ['{"probe":{"t":NaN}}', 'no-match'],
  ['{"probe":{"t":-Infinity}}', 'no-match'],
  ['{"probe":{"t":041}}', 'no-match'],
  ['{"probe":{"t":41,25}}', 'no-match'],
  ['{"probe":{"t":41.25}', 'no-match'],
  ['{"probe":{"t":41.25}}}', 'no-match'],
  ['{"probe":{"t":41.25}}{"probe":{"t":41.26}}', 'no-match'],
  ['{"probe":{"t":41.25,"t":85}}', 'no-match'],
  ['{"probe":{"t":1},"probe":{"t":2}}', 'no-match'],
  ['[{"probe":{"t":41.25}}]', 'no-match'],
  ['41.25', 'no-match'],
  ['null', 'no-match'],
  ['vat board', 'no-match'],
])('json: the line %s gives %j', (line, expected) => {
  expect(read(json, PATHS, line)).toEqual(expected);
});

test('json: colons and braces inside texts, also after escapes, do no harm', () => {
  expect(read(json, PATHS, '{"note":"a:\\"{[b:","probe":{"t":3}}')).toEqual({ temp: 3 });
});

test('json: keys beyond ASCII, as bytes or as escapes', () => {
  expect(read(json, { signals: { t: 'Öl.°C' } }, '{"Öl":{"°C":41}}')).toEqual({ t: 41 });
  expect(read(json, { signals: { t: 'Öl.°C' } }, '{"\\u00d6l":{"\\u00b0C":42}}')).toEqual({ t: 42 });
});

test('json: nothing inherited is found: no length, no prototype, no character of a text', () => {
  const settings = { signals: { n: 'list.length', v: 'valueOf', c: 'name.0', far: 'list.9' } };
  expect(read(json, settings, '{"list":[1,2],"name":"77","__proto__":{"valueOf":3}}')).toBe('no-match');
});

test('json: depth and size are bounded', () => {
  const nested = (depth: number) => `${'{"a":'.repeat(depth)}1${'}'.repeat(depth)}`;
  expect(boundedJson(nested(16))).not.toBeNull();
  expect(boundedJson(nested(17))).toBeNull();
  expect(boundedJson(`{"a":${'['.repeat(4000)}`)).toBeNull();
  expect(json.framing(json.options.parse(PATHS))).toEqual({ kind: 'lines', capBytes: 4096 });
});

test.each([
  [{ signals: { t: '' } }, 'not a path'],
  [{ signals: { t: 'a..b' } }, 'not a path'],
  [{ signals: { t: 'a.__proto__.b' } }, 'are no keys of a measurement'],
  [{ signals: { t: 'constructor' } }, 'are no keys of a measurement'],
  [{ signals: {} }, 'no signal is named'],
])('json: settings %j are refused in words', (settings, words) => {
  expect(refusal(json, settings)).toContain(words);
});
