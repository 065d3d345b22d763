/**
 * Propagation of distributions (JCGM 101:2008) against the law of propagation that readings use. The rule of clause 8: both
 * intervals end within half of the last of two digits of the standard uncertainty.
 */
import { describe, expect, test } from 'vitest';
import { bySlope } from '../../../src/core/compensation/ways.ts';
import type { BenchDescription } from '../../../src/core/description.ts';
import { lawOf } from '../../../src/core/laws/law-of.ts';
import { combine } from '../../../src/core/uncertainty/combine.ts';
import { expectedReading } from '../../../src/core/uncertainty/expected.ts';
import { type BudgetLine, line, normal, rectangular } from '../../../src/core/uncertainty/line.ts';
import { ADDED } from '../../reference/gum.ts';
import { drawError, halfWidth, uniforms } from '../../support/draws.ts';
import { echoBench, plainBench, SOUND } from '../../support/virtual-bench.ts';

const DRAWS = 400_000;

function drawn(seed: number, model: (draw: (line: BudgetLine) => number) => number): number[] {
  const uniform = uniforms(seed);
  return Array.from({ length: DRAWS }, () => model((one) => drawError(one, uniform)));
}

describe('JCGM 101, 9.2: four quantities added up', () => {
  const standard = (u: number) => line('x', rectangular(u * Math.sqrt(3), 'mm'));
  test.each([
    ['normal ones', ADDED.normal, Array(4).fill(line('x', normal(1, 'mm')))],
    ['rectangular ones', ADDED.rectangular, Array(4).fill(standard(1))],
    [
      'rectangular ones, one of them ten times as wide',
      ADDED.oneLarge,
      [standard(1), standard(1), standard(1), standard(10)],
    ],
  ] as const)('%s (seed 92)', (_what, { byLaw, byDistributions }, budget: readonly BudgetLine[]) => {
    expect(Math.abs(combine(budget).U95Mm - byLaw)).toBeLessThan(byLaw > 10 ? 0.05 : 0.005);
    const sums = drawn(92, (draw) => budget.reduce((sum, one) => sum + draw(one), 0));
    expect(Math.abs(halfWidth(sums) / byDistributions - 1)).toBeLessThan(0.01);
  });
});

/** The reading as a function of everything that it rests on; `draw` gives the error of a component by its name. */
function readingModel(bench: BenchDescription, levelMm: number, temperatureC: number) {
  const { levelChannel, referenceC, compensation } = bench.measure;
  if (compensation.kind !== 'slope') throw new Error('no slope');
  const description = bench.channels.find(({ id }) => id === levelChannel);
  if (description === undefined) throw new Error('no level');
  const law = lawOf(description.law);
  const speed = (c0: number, c1: number, tC: number) => SOUND.mPerS + c0 + (SOUND.perK + c1) * (tC - SOUND.atC);
  const signal = bench.fluid === null ? levelMm : 2 + (2000 * (levelMm - 3)) / speed(0, 0, temperatureC);
  return (draw: (component: string) => number): number => {
    const tC = temperatureC + draw('temperature instrument') + draw('temperature resolution');
    // The budget states the coefficient by what it does to the speed at this temperature.
    const c =
      speed(0, 0, tC) + draw('speed of sound (level)') + draw('temperature coefficient of the speed of sound (level)');
    const raw = law.at(signal, { soundMPerS: c }).value;
    const own = ['repeatability', 'settling', 'level resolution', 'level instrument'];
    const level = own.reduce((sum, name) => sum + draw(name), raw);
    const slope = { ...compensation, mmPerK: compensation.mmPerK + draw('compensation slope') };
    const place = { levelMm: level, vesselC: tC, circuitC: tC, circuitState: 'none', referenceC };
    return bySlope(slope, place).mm;
  };
}

describe.each([
  ['millimetres from the board, at the reference temperature', plainBench, 62, 50],
  ['millimetres from the board, 3 K away from it', plainBench, 62, 53],
  ['an echo through the oil', echoBench, 62, 50],
  ['a long echo through the oil, 3.5 K away', echoBench, 180, 46.5],
] as const)('A reading of %s', (_what, bench, levelMm, temperatureC) => {
  const { reading } = expectedReading(bench, { levelMm, temperatureC });
  const model = readingModel(bench, levelMm, temperatureC);

  test('has the sensitivities of its model, by differences', () => {
    for (const { component, sensitivity, unit } of reading.budget) {
      const step = unit === 'm/s' ? 1e-3 : 1e-4;
      const at = (error: number) => model((name) => (name === component ? error : 0));
      expect(Math.abs((at(step) - at(-step)) / (2 * step) - sensitivity), component).toBeLessThan(1e-6);
    }
  });

  test('is as unsure as the distributions say (seed 101)', () => {
    const byName = new Map(reading.budget.map((one) => [one.component, one]));
    const values = drawn(101, (draw) =>
      model((name) => {
        const one = byName.get(name);
        return one === undefined ? 0 : draw(one);
      }),
    );
    const u = reading.U95Mm / reading.coverageFactor;
    // Two digits of u: 0.12 is known to 0.01, half of it is the tolerance of the clause.
    let digit = 1;
    while (digit * 10 > u) digit /= 10;
    expect(Math.abs(halfWidth(values) - reading.U95Mm)).toBeLessThan(digit / 2);
    const mean = values.reduce((sum, value) => sum + value / DRAWS, 0);
    expect(Math.abs(mean - reading.levelMm)).toBeLessThan(0.02 * u);
  });
});

test('where a rectangular component outweighs the rest, the stated uncertainty is the larger one (seed 7)', () => {
  const budget = [line('a', rectangular(1, 'mm')), line('b', normal(0.05, 'mm'))];
  const byDistributions = halfWidth(drawn(7, (draw) => budget.reduce((sum, one) => sum + draw(one), 0)));
  const { U95Mm } = combine(budget);
  expect(U95Mm / byDistributions).toBeGreaterThan(1.15);
  expect(U95Mm / byDistributions).toBeLessThan(1.25);
});

test('at the reference temperature slope and temperature do not meet in the first order; the second is 1 % (seed 8)', () => {
  const { reading } = expectedReading(plainBench, { levelMm: 62, temperatureC: 50 });
  const of = (name: string) => reading.budget.find(({ component }) => component === name) ?? expect.fail(name);
  expect(of('compensation slope').contributionMm).toBe(0);
  const product = of('compensation slope').u * of('temperature instrument').u;
  const u = reading.U95Mm / reading.coverageFactor;
  // JCGM 100, note to 5.1.2: the term that the law of propagation leaves out.
  expect(Math.sqrt(u * u + product * product) / u - 1).toBeLessThan(0.01);
});
