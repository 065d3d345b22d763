import { expect, test } from 'vitest';
import { Arrivals } from '../../src/feed/arrivals.ts';

/** What is said after `seconds` of a steady stream. */
function after(perSecond: number, expectedPerSecond: number, seconds = 5, thenUs = 0): string | null {
  const arrivals = new Arrivals(1e6 / expectedPerSecond);
  for (let i = 0; i < perSecond * seconds; i++) arrivals.take(Math.round((i * 1e6) / perSecond));
  return arrivals.flood(seconds * 1e6 + thenUs);
}

test('a stream as expected, or ten times as fast, is no flood', () => {
  for (const expected of [0.2, 1, 5, 50]) {
    expect(after(expected, expected)).toBeNull();
    expect(after(10 * expected, expected)).toBeNull();
  }
  // 100 times as fast, and still nothing that a record could not keep
  expect(after(100, 1)).toBeNull();
});

test('a flood is told with both rates, and is over two seconds after the last frame', () => {
  expect(after(4000, 5)).toMatch(/^Sends 4000 messages a second where 5 are expected/);
  expect(after(250, 1)).toMatch(/^Sends 250 messages a second where 1 is expected/);
  expect(after(4000, 5, 5, 1_900_000)).toBeNull();
});

test('a flood shows within its first second, and one burst alone is forgotten', () => {
  const arrivals = new Arrivals(200_000);
  for (let i = 0; i < 5000; i++) arrivals.take(3_000_000 + i * 100);
  expect(arrivals.flood(3_500_000)).toContain('5000');
  for (let s = 4; s < 9; s++) for (let i = 0; i < 5; i++) arrivals.take(s * 1e6 + i * 200_000);
  expect(arrivals.flood(9_000_000)).toBeNull();
});
