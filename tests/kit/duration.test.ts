import { expect, test } from 'vitest';
import { durationUs } from '../../src/kit/duration.ts';

test.each([
  ['300 ms', 300_000],
  ['1.5 s', 1_500_000],
  ['0 s', 0],
  ['250 us', 250],
  ['250 µs', 250],
  ['2 min', 120_000_000],
  ['0.0000004 s', null],
  ['300ms', null],
  ['300', null],
  ['-1 s', null],
  ['1e3 ms', null],
  ['1,5 s', null],
  ['.5 s', null],
  ['1 h ', null],
  ['1 toString', null],
  ['', null],
])('%j is %j µs', (text, us) => {
  expect(durationUs(text)).toBe(us);
});
