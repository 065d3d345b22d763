import { expect, test } from 'vitest';
import { numberEnd, strictNumber } from '../../src/kit/numbers.ts';

test.each([
  ['0', 0],
  ['41.25', 41.25],
  ['-5.2', -5.2],
  ['+7', 7],
  ['007.50', 7.5],
  ['-0', 0],
  ['1234567890123456', 1234567890123456],
])('%j is the number %d', (text, value) => {
  expect(strictNumber(text)).toBe(value);
});

test.each([
  '',
  ' ',
  '12,5',
  '1e999',
  '1e5',
  '0x1F',
  '0.943M',
  '.5',
  '5.',
  '--5',
  '+',
  '-',
  'NaN',
  'Infinity',
  '1_000',
  '1 2',
  '٣',
  '12.5.1',
  '1'.repeat(40),
])('%j is no number', (text) => {
  expect(strictNumber(text)).toBeNull();
});

test('a number inside a text ends where the grammar ends', () => {
  expect(numberEnd('T=41.2C', 2)).toBe(6);
  expect(numberEnd('T=41.C', 2)).toBe(4);
  expect(numberEnd('T=x', 2)).toBe(2);
});

test('minus zero is plain zero', () => {
  expect(Object.is(strictNumber('-0'), 0)).toBe(true);
});
