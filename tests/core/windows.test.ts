/** Blocks, quantiles and the noise that never dies: the parts that windows of the level are made of. */
import { describe, expect, test } from 'vitest';
import { join, type Moments, momentsOf } from '../../src/core/moments.ts';
import { emptyNoise, noiseFloor, watchFloor } from '../../src/core/noise.ts';
import { chiSquareDeviations, studentQuantile } from '../../src/core/normal.ts';
import { append, coarsened, emptySeries, joined, newestFirst } from '../../src/core/series.ts';
import { gaussian, watch } from '../support/level-rig.ts';

describe('the blocks that are looked at', () => {
  const past = (samples: number) => {
    const random = gaussian(5);
    const series = emptySeries<Moments>();
    for (let i = 0; i < samples; i++) append(series, momentsOf(i / 10, random()), join, 1e9);
    return series;
  };

  test('hardly grow in number from 10 s to 10 min of past', () => {
    const [short, long] = [past(100), past(6000)].map((series) => coarsened(series, join).length);
    expect(long).toBeLessThan(1.8 * (short as number));
  });

  test('hold every sample once, the young ones singly, and none longer than a third of its age', () => {
    const series = past(6000);
    const blocks = coarsened(series, join);
    const whole = joined(blocks, blocks.length, join);
    const fine = joined(newestFirst(series), Number.POSITIVE_INFINITY, join);
    expect(whole?.n).toBe(6000);
    expect(whole?.y).toBeCloseTo(fine?.y as number, 12);
    expect(whole?.tt).toBeCloseTo(fine?.tt as number, 3);
    expect(blocks[0]?.n).toBe(1);
    const nowS = blocks[0]?.toT as number;
    for (const { fromT, toT, n } of blocks) expect(n === 1 || toT - fromT < 0.35 * (nowS - fromT) + 0.2).toBe(true);
  });
});

describe('quantiles', () => {
  // Printed tables of t: 2.764 and 2.457 at 0.99, 3.143 at six degrees of freedom.
  test.each([
    [10, 2.764],
    [30, 2.457],
    [6, 3.143],
  ])('of Student’s t with %d degrees of freedom', (freedom, printed) => {
    expect(studentQuantile(2.3263, freedom)).toBeCloseTo(printed, 1);
  });

  // Printed tables of χ²: 99.9 % points 13.816, 29.588, 59.703; a normal distribution has 3.090 there.
  test.each([
    [2, 13.816],
    [10, 29.588],
    [30, 59.703],
  ])('of χ² with %d degrees of freedom', (freedom, printed) => {
    expect(chiSquareDeviations(printed, freedom)).toBeCloseTo(3.09, 1);
  });
});

test('a great wave does not pass for noise because it lasts', () => {
  const noise = emptyNoise();
  for (let s = 0; s <= 60; s++) watchFloor(noise, s, 0.01, 0.01);
  for (let s = 61; s <= 75; s++) watchFloor(noise, s, 25, 0.01);
  expect(noiseFloor(noise, 75)).toBeLessThan(0.03);
  for (let s = 76; s <= 600; s++) watchFloor(noise, s, 25, 0.01);
  expect(noiseFloor(noise, 600)).toBeGreaterThan(10);
});

test('after a heavy knock the level is found while the last waves die', () => {
  const random = gaussian(9);
  const knock = (tS: number) => (tS < 60 ? 0 : 20 * Math.exp(-(tS - 60) / 4) * Math.sin(2 * Math.PI * 0.6 * (tS - 60)));
  const seen = watch((tS) => 60 + knock(tS) + 0.02 * random(), { everyS: 0.04, forS: 90 });
  // 20 e^(−t/4) is the tolerance after 12 s.
  const opened = seen.find(({ tS, open }) => open && tS > 61)?.tS ?? Number.POSITIVE_INFINITY;
  expect(opened).toBeGreaterThan(69);
  expect(opened).toBeLessThan(60 + 12 + 6);
});

test('a gate that is open does not flicker with the noise: none shuts in ten minutes at any rate', () => {
  for (const everyS of [0.02, 0.1, 0.5, 2]) {
    const random = gaussian(77);
    const seen = watch(() => 60 + 0.3 * random(), { everyS, forS: 600, resolutionMm: 0.05 });
    const from = seen.findIndex(({ tS, open }) => open && tS > 30);
    expect(from, `every ${everyS} s`).toBeGreaterThan(0);
    expect(seen.slice(from).filter(({ open }) => !open).length, `every ${everyS} s`).toBe(0);
  }
});
