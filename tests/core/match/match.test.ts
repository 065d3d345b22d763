/** Two readings as a difference: what both have in common cancels. */
import { describe, expect, test } from 'vitest';
import type { MatchDescription } from '../../../src/core/description.ts';
import type { Reading } from '../../../src/core/events.ts';
import { remedyFor } from '../../../src/core/match/advice.ts';
import { againstLevel, match } from '../../../src/core/match/difference.ts';
import { verdict } from '../../../src/core/match/verdict.ts';
import { combine, covarianceMm2 } from '../../../src/core/uncertainty/combine.ts';
import { type BudgetLine, line, normal, rectangular, scatter } from '../../../src/core/uncertainty/line.ts';

const BASIS = { levelChannel: 'level', temperatureChannel: 'temperature', compensation: 'slope', calibrations: ['a'] };

function budgetAt(awayK: number, noiseMm: number): BudgetLine[] {
  return [
    line('repeatability', scatter(noiseMm, 'mm', 20)),
    line('level resolution', rectangular(0.05, 'mm')),
    line('level instrument', normal(0.4, 'mm'), { shared: 'instrument level' }),
    line('temperature instrument', normal(0.3, 'K'), { sensitivity: -0.25, shared: 'instrument temperature' }),
    line('compensation slope', normal(0.03, 'mm/K'), { sensitivity: -awayK, shared: 'compensation slope' }),
  ];
}

function reading(id: number, levelMm: number, over: Partial<Reading> = {}, awayK = 0): Reading {
  const budget = budgetAt(awayK, 0.03);
  const { U95Mm, coverageFactor } = combine(budget);
  return {
    id,
    levelMm,
    budget,
    U95Mm,
    coverageFactor,
    referenceC: 50,
    machineState: 'stopped',
    basis: BASIS,
    ...over,
  } as Reading;
}

const OWN = { refitMm: 0, refits: null, newFluidMm: 0 };

function difference(a: Reading, b: Reading, own: Pick<MatchDescription, 'refitMm' | 'refits' | 'newFluidMm'> = OWN) {
  const found = match(a, b, own);
  if (!found.comparable) throw new Error(found.words);
  return found.difference;
}

describe('The difference of two readings', () => {
  const a = reading(1, 60, {}, 3);
  const b = reading(2, 61.2, {}, -1);

  test('is as unsure as variances and the covariance say', () => {
    const { mm, uMm } = difference(a, b);
    const byCovariance =
      combine(a.budget).uMm ** 2 + combine(b.budget).uMm ** 2 - 2 * covarianceMm2(a.budget, b.budget);
    expect(mm).toBeCloseTo(1.2, 12);
    expect(uMm).toBeCloseTo(Math.sqrt(byCovariance), 12);
    // By hand: two noises, two steps, and 4 K of slope.
    expect(uMm).toBeCloseTo(Math.sqrt(2 * 0.03 ** 2 + 2 * (0.05 ** 2 / 3) + (4 * 0.03) ** 2), 12);
    expect(uMm).toBeLessThan(combine(b.budget).uMm);
  });

  test('shows what has cancelled, and what each has for itself', () => {
    const { budget } = difference(a, b);
    const contribution = (name: string) => budget.find(({ component }) => component === name)?.contributionMm;
    expect(contribution('level instrument')).toBe(0);
    expect(contribution('temperature instrument')).toBe(0);
    expect(contribution('compensation slope')).toBeCloseTo(0.12, 12);
    expect(contribution('repeatability (No. 1)')).toBeCloseTo(0.03, 12);
    expect(contribution('repeatability (No. 2)')).toBeCloseTo(0.03, 12);
    const sign = (name: string) => budget.find(({ component }) => component === name)?.sensitivity;
    expect([sign('repeatability (No. 1)'), sign('repeatability (No. 2)')]).toEqual([-1, 1]);
    expect(combine(budget).uMm).toBe(difference(a, b).uMm);
  });

  test('an instrument that became better in between does not cancel in full', () => {
    const better = {
      ...b,
      budget: b.budget.map((one) => (one.component === 'level instrument' ? { ...one, u: 0.1 } : one)),
    };
    const { budget } = difference(a, better);
    expect(budget.find(({ component }) => component === 'level instrument')?.contributionMm).toBeCloseTo(0.3, 12);
  });

  test('an error that only one of them states counts in full', () => {
    const free = { ...a, budget: a.budget.map((one) => (one.shared === 'instrument level' ? { ...one, u: 0 } : one)) };
    const { budget, uMm } = difference(free, b);
    expect(budget.find(({ component }) => component === 'level instrument')?.contributionMm).toBeCloseTo(0.4, 12);
    expect(difference(b, free).uMm).toBeCloseTo(uMm, 12);
    expect(combine(budget).uMm).toBeGreaterThan(0.4);
  });

  test('two fittings of the sensor and a new fluid come on top, few fittings with few degrees of freedom', () => {
    const plain = difference(a, b);
    const own = { refitMm: 0.2, refits: 4, newFluidMm: 0.1 };
    const found = difference(a, b, own);
    expect(found.uMm).toBeCloseTo(Math.sqrt(plain.uMm ** 2 + 2 * 0.2 ** 2 + 0.1 ** 2), 12);
    expect(found.degreesOfFreedom).toBeLessThan(plain.degreesOfFreedom);
    expect(found.coverageFactor).toBeGreaterThan(2.3);
    expect(difference(a, b, { ...own, refitMm: 50 }).degreesOfFreedom).toBeCloseTo(3, 3);
  });

  test('a level that somebody states cancels nothing, and is fitted once', () => {
    const { uMm } = againstLevel({ levelMm: 60, uMm: 0.5 }, b, { refitMm: 0.2, refits: null, newFluidMm: 9 });
    expect(uMm).toBeCloseTo(Math.sqrt(combine(b.budget).uMm ** 2 + 0.5 ** 2 + 0.2 ** 2), 12);
  });

  test.each([
    ['machine-state', { machineState: 'running, selector in neutral' }],
    ['channels', { basis: { ...BASIS, levelChannel: 'other' } }],
    ['reference', { referenceC: 40 }],
    ['compensation', { basis: { ...BASIS, compensation: 'another' } }],
    ['calibration', { basis: { ...BASIS, calibrations: ['b'] } }],
  ] as const)('is refused for another %s', (why, over) => {
    expect(match(a, reading(2, 61, over))).toMatchObject({
      comparable: false,
      why,
      words: expect.stringMatching(/\.$/),
    });
  });
});

describe('A verdict', () => {
  const target = { from: 'reading', reading: reading(1, 60) } as const;
  const description: MatchDescription = {
    toleranceMm: 1,
    rule: { by: 'probability', probability: 0.95 },
    refitMm: 0.2,
    refits: null,
    newFluidMm: 0,
    target: null,
  };
  const at = (levelMm: number, over: Partial<MatchDescription> = {}) =>
    verdict(target, reading(2, levelMm), { ...description, ...over });

  test.each([
    [60.1, 'within'],
    [60.4, 'within'],
    [60.7, 'undecided'],
    [61.3, 'undecided'],
    [61.7, 'above'],
    [59.1, 'undecided'],
    [58.2, 'below'],
  ])('of a level of %d mm against 60 ± 1 mm is %s', (levelMm, result) => {
    const found = at(levelMm);
    expect(found).toMatchObject({ result, reading: 2, target: { from: 'reading', reading: 1 }, accepted: null });
    const { below, within, above } = found.judged?.probability ?? expect.fail();
    expect(below + within + above).toBeCloseTo(1, 12);
    expect(result === 'undecided' || Math.max(below, within, above) >= 0.95).toBe(true);
  });

  test('turns exactly where its guard band says', () => {
    const guard = at(60).judged?.guardMm ?? expect.fail();
    expect(at(61 - guard - 1e-6).result).toBe('within');
    expect(at(61 - guard + 1e-6).result).toBe('undecided');
  });

  test('by a fixed guard asks for no probability', () => {
    const rule = { by: 'guard', guardMm: 0.25 } as const;
    expect([60.74, 60.76, 61.24, 61.26, 58.7].map((mm) => at(mm, { rule }).result)).toEqual([
      'within',
      'undecided',
      'undecided',
      'above',
      'below',
    ]);
  });

  test('says what would help where it cannot tell, and that nothing would do where that is so', () => {
    expect(at(60.8).words).toMatch(
      /^As near as this bench can tell: 0\.8\d* mm above the target, sure to .*leave the sensor fitted/,
    );
    expect(at(60.8).words).not.toContain('No level');
    expect(at(60, { refitMm: 0.9 })).toMatchObject({ result: 'undecided', judged: { guardMm: null } });
    expect(at(60, { refitMm: 0.9 }).words).toContain('No level would be sure to be within');
  });

  test('in words has side, size, sureness and tolerance', () => {
    expect(at(60.2).words).toBe(
      'Within: 0.2 mm above the target, sure to three quarters of a millimetre; ±1 mm is allowed. 99.7 % sure.',
    );
    expect(at(60).words).toContain('at the target');
    expect(at(57).words).toMatch(/^Below: 3\.0 mm below the target.*More than 99\.9 % sure\.$/);
  });

  test('between readings that cannot be compared says why', () => {
    const other = verdict(target, reading(2, 60, { machineState: 'cooler open' }), description);
    expect(other).toMatchObject({ result: 'not-comparable', why: 'machine-state', judged: null });
    expect(other.words).toContain('stopped then, cooler open now');
  });
});

test('every component of a reading has a remedy of its own; others are named', () => {
  for (const { component } of budgetAt(1, 1)) expect(remedyFor(component)).not.toContain('know better');
  expect(remedyFor('moonlight')).toBe('know better: moonlight');
});
