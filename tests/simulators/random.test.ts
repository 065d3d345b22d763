import { expect, test } from 'vitest';
import { Random } from '../../simulators/random.ts';

test('the generator gives the numbers of xoshiro128** as defined', () => {
  const numbers = (random: Random, count: number) => Array.from({ length: count }, () => random.bits());
  // by whole-number arithmetic from the definition; the first by hand: rotl(2 · 5, 7) · 9 = 1280 · 9
  expect(numbers(new Random(1, 2, 3, 4), 7)).toEqual([11520, 0, 5927040, 70819200, 2031721883, 1637235492, 1287239034]);
  // given by the authors' C program for a state with all bits in use
  expect(numbers(new Random(0x964d4a0c, 0xd40ab895, 0xad7fdecb, 0x3006f0f0), 4)).toEqual([
    0xf1391922, 0x6fe53806, 0xa5be2840, 0xf510ee70,
  ]);
});

test('a state of zeros is refused', () => {
  expect(() => new Random(0, 0, 0, 0)).toThrow(/zero/);
});

test('the same seed and label give the same numbers, another seed or label others', () => {
  const draw = (seed: number, label: string) => {
    const random = Random.of(seed, label);
    return Array.from({ length: 20 }, () => random.normal());
  };
  expect(draw(7, 'probe')).toEqual(draw(7, 'probe'));
  expect(draw(7, 'probe')).not.toEqual(draw(8, 'probe'));
  expect(draw(7, 'probe')).not.toEqual(draw(7, 'sonar'));
});

test('uniform and normal numbers have the mean and spread that they claim (seed 11)', () => {
  const random = Random.of(11, 'moments');
  const count = 40_000;
  const uniform = Array.from({ length: count }, () => random.uniform(2, 6));
  const normal = Array.from({ length: count }, () => random.normal(5, 3));
  // five standard errors each
  expect(Math.abs(mean(uniform) - 4)).toBeLessThan((5 * (4 / Math.sqrt(12))) / Math.sqrt(count));
  expect(Math.min(...uniform)).toBeGreaterThanOrEqual(2);
  expect(Math.max(...uniform)).toBeLessThan(6);
  expect(Math.abs(mean(normal) - 5)).toBeLessThan((5 * 3) / Math.sqrt(count));
  const variance = mean(normal.map((x) => (x - 5) ** 2));
  expect(Math.abs(variance - 9)).toBeLessThan((5 * 9 * Math.sqrt(2)) / Math.sqrt(count));
  // 68.27 % within one standard deviation, which a uniform or triangular stand-in would miss
  const within = normal.filter((x) => Math.abs(x - 5) < 3).length / count;
  expect(Math.abs(within - 0.6827)).toBeLessThan(5 * Math.sqrt((0.6827 * 0.3173) / count));
});

test('integers reach both ends and nothing beyond (seed 12)', () => {
  const random = Random.of(12, 'integers');
  const seen = new Set(Array.from({ length: 500 }, () => random.integer(-1, 3)));
  expect([...seen].sort((a, b) => a - b)).toEqual([-1, 0, 1, 2, 3]);
});

function mean(values: readonly number[]): number {
  return values.reduce((sum, value) => sum + value, 0) / values.length;
}
