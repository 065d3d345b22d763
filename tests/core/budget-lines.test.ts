/** The lines that come from what a law leans on, and what of them cancels between two readings. */
import { describe, expect, test } from 'vitest';
import { influenceLines } from '../../src/core/budget.ts';
import type { Influence } from '../../src/core/context.ts';
import type { ChannelDescription } from '../../src/core/description.ts';
import { match } from '../../src/core/match/difference.ts';
import { combine } from '../../src/core/uncertainty/combine.ts';
import { expectedReading } from '../../src/core/uncertainty/expected.ts';
import { testBench } from '../support/bench.ts';
import { echoBench, plainBench, SOUND } from '../support/virtual-bench.ts';

const [temperature, level] = testBench.channels as [ChannelDescription, ChannelDescription];
const air: ChannelDescription = { ...temperature, id: 'air', standardUncertainty: 0.5, resolution: 0.1 };

function influence(over: Partial<Influence>): Influence {
  const own = { name: null, signedU: 2, shared: 'constant' };
  return {
    ...{ name: 'densityKgPerM3', value: 870, sources: [own], step: 0, perK: 0, temperatureChannel: null },
    ...{ covered: true, partial: -0.1 },
    ...over,
  };
}

const lines = (...influences: Influence[]) =>
  influenceLines(level, influences, 1, [temperature, level, air], 'temperature');

describe('What a law leans on', () => {
  test('is one line with the sign of its derivative', () => {
    expect(lines(influence({}))).toMatchObject([
      { component: 'density of the fluid (level)', u: 2, sensitivity: -0.1, shared: 'constant', unit: 'kg/m3' },
    ]);
  });

  test('is a line for each constant of a property, in the direction in which the property follows it', () => {
    const sources = [
      { name: 'density at 15 °C', signedU: 2, shared: 'fluid a' },
      { name: 'expansion', signedU: -1.5, shared: 'fluid b' },
    ];
    expect(lines(influence({ sources }))).toMatchObject([
      { component: 'density at 15 °C (level)', u: 2, sensitivity: -0.1, shared: 'fluid a' },
      { component: 'expansion (level)', u: 1.5, sensitivity: 0.1, shared: 'fluid b' },
    ]);
    // The same constant in two properties that follow it in opposite directions goes out.
    const other = influence({
      name: 'soundMPerS',
      partial: 0.05,
      sources: [{ name: 'x', signedU: 4, shared: 'constant' }],
    });
    expect(combine(lines(influence({}), other)).uMm).toBeCloseTo(0, 15);
  });

  test('has a line for the steps that it is measured in, of its own in every reading', () => {
    expect(lines(influence({ step: 0.6 }))[1]).toMatchObject({
      ...{ component: 'resolution of the density of the fluid (level)', value: 0.3, distribution: 'rectangular' },
      ...{ sensitivity: -0.1, shared: null },
    });
    expect(lines(influence({}))).toHaveLength(1);
  });

  test('follows a temperature of its own with that instrument and its steps; the measured one has its lines already', () => {
    const followed = lines(influence({ perK: -0.6, temperatureChannel: 'air' }));
    expect(followed.slice(1)).toMatchObject([
      { component: 'temperature behind the density of the fluid (level)', u: 0.5, shared: 'instrument air' },
      { value: 0.05, distribution: 'rectangular', shared: null },
    ]);
    expect(followed[1]?.sensitivity).toBeCloseTo(0.06, 12);
    expect(lines(influence({ perK: -0.6, temperatureChannel: 'temperature' }))).toHaveLength(1);
  });
});

describe('Between two readings of one bench', () => {
  const contributions = (bench: typeof plainBench, firstC: number, secondC: number) => {
    const at = (temperatureC: number, id: number) => ({
      ...expectedReading(bench, { levelMm: 62, temperatureC }).reading,
      id,
    });
    const found = match(at(firstC, 1), at(secondC, 2));
    if (!found.comparable) throw new Error(found.words);
    const { budget } = found.difference;
    return (name: string) => budget.find(({ component }) => component === name)?.contributionMm;
  };

  test('the error of the slope goes out at one temperature, and counts with the kelvins between two', () => {
    expect(contributions(plainBench, 47, 47)('compensation slope')).toBe(0);
    expect(contributions(plainBench, 47, 53)('compensation slope')).toBeCloseTo(6 * 0.03, 12);
    expect(contributions(plainBench, 47, 53)('temperature instrument')).toBeCloseTo(0, 12);
  });

  test('the speed of sound goes out but for what it changes between the temperatures', () => {
    expect(contributions(echoBench, 47, 47)('speed of sound (level)')).toBeCloseTo(0, 12);
    const c = (tC: number) => SOUND.mPerS + SOUND.perK * (tC - SOUND.atC);
    const way = (tC: number) => (62 - 3) / c(tC);
    expect(contributions(echoBench, 47, 53)('temperature coefficient of the speed of sound (level)')).toBeCloseTo(
      SOUND.uPerK * (way(53) * 33 - way(47) * 27),
      9,
    );
  });
});

test('the stem of a probe moves the level as its temperature does, and cancels between two readings', () => {
  const bench = { ...plainBench, measure: { ...plainBench.measure, uStemK: 0.4 } };
  const { reading } = expectedReading(bench, { levelMm: 62, temperatureC: 53 });
  const stem = reading.budget.find(({ component }) => component === 'stem of the probe');
  const probe = reading.budget.find(({ component }) => component === 'temperature instrument');
  expect(stem).toMatchObject({ u: 0.4, unit: 'K', sensitivity: probe?.sensitivity });
  expect(stem?.contributionMm).toBeGreaterThan(0.05);
  const found = match(reading, { ...reading, id: 2 });
  const left = found.comparable
    ? found.difference.budget.find(({ component }) => component === 'stem of the probe')
    : null;
  expect(left?.contributionMm).toBe(0);
  const without = expectedReading(plainBench, { levelMm: 62, temperatureC: 53 }).reading;
  expect(without.budget.map(({ component }) => component)).not.toContain('stem of the probe');
});
