/** Against the worked examples of JCGM 106:2012. */
import { describe, expect, test } from 'vitest';
import { conformity, guardBand } from '../../../src/core/match/conformity.ts';
import { BEARINGS, CONFORMITY, SPEED } from '../../reference/gum.ts';

const NORMAL = { degreesOfFreedom: Number.POSITIVE_INFINITY };

test.each(CONFORMITY)('$what: within its limits with $within', ({ value, u, low, high, within, tolerance }) => {
  const found = conformity({ value, u, ...NORMAL }, low, high);
  expect(Math.abs(found.within - within)).toBeLessThan(tolerance);
  expect(found.below + found.within + found.above).toBeCloseTo(1, 12);
});

test('few degrees of freedom make the same value less sure', () => {
  const at = (degreesOfFreedom: number) => conformity({ value: 0, u: 1, degreesOfFreedom }, -2.776, 2.776).within;
  // t(0.95, 4) = 2.776 (GUM Table G.2); 4.9 is truncated to 4.
  expect(at(4)).toBeCloseTo(0.95, 4);
  expect(at(4.9)).toBe(at(4));
  expect(at(Number.POSITIVE_INFINITY)).toBeGreaterThan(0.994);
});

test('what is known exactly is within or not', () => {
  const at = (value: number) => conformity({ value, u: 0, ...NORMAL }, -1, 1);
  expect([at(1), at(1.1), at(-1.1)]).toEqual([
    { below: 0, within: 1, above: 0 },
    { below: 0, within: 0, above: 1 },
    { below: 1, within: 0, above: 0 },
  ]);
  expect(guardBand({ u: 0, ...NORMAL }, 1, 0.95)).toBe(0);
});

describe('The guard band', () => {
  test('is 1.645 u at 95 % where the tolerance is wide (JCGM 106, 8.3)', () => {
    expect(guardBand({ u: 0.1, ...NORMAL }, 2, 0.95)).toBeCloseTo(0.16448536, 6);
  });

  test('is a little more where both limits are near, and there is none where even the middle is unsure', () => {
    const guard = guardBand({ u: 0.5, ...NORMAL }, 1, 0.95) as number;
    expect(guard).toBeGreaterThan(1.6449 * 0.5);
    expect(conformity({ value: 1 - guard, u: 0.5, ...NORMAL }, -1, 1).within).toBeCloseTo(0.95, 9);
    expect(guardBand({ u: 0.6, ...NORMAL }, 1, 0.95)).toBeNull();
  });

  test('makes a reckless driver only from 107 km/h on (JCGM 106, 8.3.3)', () => {
    const { limit, relative, probability, from } = SPEED;
    const tooFast = (value: number) => conformity({ value, u: relative * value, ...NORMAL }, 0, limit).above;
    expect(tooFast(from + 0.01)).toBeGreaterThan(probability);
    expect(tooFast(from - 0.01)).toBeLessThan(probability);
  });

  test('of two standard uncertainties lets 2.3 % of bad ones through at most (ILAC-G8)', () => {
    expect(1 - conformity({ value: 0, u: 0.5, ...NORMAL }, Number.NEGATIVE_INFINITY, 1).within).toBeCloseTo(0.02275, 5);
  });
});

describe('Bearings with a known spread of the production (JCGM 106, 9.5.4)', () => {
  const { shape, ratePerUm, limitUm, uUm } = BEARINGS;
  const factorial = 6;
  const prior = (x: number) => (ratePerUm ** shape * x ** (shape - 1) * Math.exp(-ratePerUm * x)) / factorial;
  /** Simpson's rule. */
  const integral = (f: (x: number) => number, from: number, to: number, n = 4000) => {
    const h = (to - from) / n;
    let sum = f(from) + f(to);
    for (let i = 1; i < n; i++) sum += (i % 2 === 1 ? 4 : 2) * f(from + i * h);
    return (sum * h) / 3;
  };
  const accepted = (error: number, limit: number) =>
    conformity({ value: error, u: uUm, ...NORMAL }, Number.NEGATIVE_INFINITY, limit).within;
  const risk = (limit: number) => integral((x) => prior(x) * accepted(x, limit), limitUm, 12);

  test('the share of bad ones, and the risk that one is accepted', () => {
    expect(integral(prior, limitUm, 12)).toBeCloseTo(BEARINGS.outside, 8);
    expect(risk(limitUm)).toBeCloseTo(BEARINGS.consumersRisk, 8);
  });

  test('the acceptance limit for a risk of one in a thousand', () => {
    expect(risk(BEARINGS.limitForThousandth)).toBeCloseTo(0.001, 8);
  });
});
