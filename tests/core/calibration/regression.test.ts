/** Least squares against NIST's certified regressions and the worked example of the GUM. */
import { describe, expect, test } from 'vitest';
import { plus, type Twofold, times, twofold } from '../../../src/core/calibration/double-double.ts';
import { exceedsF } from '../../../src/core/calibration/f-distribution.ts';
import { leastSquares } from '../../../src/core/calibration/least-squares.ts';
import { evaluate, fitPolynomial } from '../../../src/core/calibration/polynomial-fit.ts';
import { THERMOMETER } from '../../reference/gum-thermometer.ts';
import { type Regression, STRD_REGRESSIONS } from '../../reference/strd-regressions.ts';

/** Correct digits, after NIST: −log₁₀ of the relative error, or of the error itself where the certified value is 0. */
function digits(found: number, certified: number): number {
  const error = certified === 0 ? Math.abs(found) : Math.abs(found - certified) / Math.abs(certified);
  return error === 0 ? 15 : Math.min(15, -Math.log10(error));
}

/** All of them, the ill-conditioned Filip too; the data as doubles hold a little more than 13. */
const LEAST = 12;

function solve({ model, x, y }: Regression) {
  if ('powers' in model && model.powers[0] === 0) {
    const points = x.map(([value], i) => ({ x: value as number, y: y[i] as number, u: null }));
    const fit = fitPolynomial(points, model.powers.length - 1);
    return { coefficients: fit.plain, errors: fit.plainU, sd: fit.residualSd as number };
  }
  const columns: Twofold[][] =
    'powers' in model
      ? model.powers.map(() => x.map(([value]) => twofold(value as number)))
      : Array.from({ length: model.columns + 1 }, (_, j) =>
          x.map((row) => twofold(j === 0 ? 1 : (row[j - 1] as number))),
        );
  const fit = leastSquares(columns, y);
  const variance = fit.squares / fit.degreesOfFreedom;
  return {
    coefficients: fit.coefficients.map(([value]) => value),
    errors: fit.inverse.map((row, j) => Math.sqrt((row[j]?.[0] ?? Number.NaN) * variance)),
    sd: Math.sqrt(variance),
  };
}

describe.each(STRD_REGRESSIONS.map((one) => [one.name, one] as const))('%s', (_name, certified) => {
  const found = solve(certified);
  const worst = (are: readonly number[], should: readonly number[]) =>
    Math.min(...should.map((value, i) => digits(are[i] ?? Number.NaN, value)));

  test(`coefficients to ${LEAST} digits, standard errors and residual standard deviation too`, () => {
    expect(found.coefficients).toHaveLength(certified.coefficients.length);
    expect(worst(found.coefficients, certified.coefficients)).toBeGreaterThanOrEqual(LEAST);
    expect(worst(found.errors, certified.standardErrors)).toBeGreaterThanOrEqual(LEAST);
    expect(digits(found.sd, certified.residualSd)).toBeGreaterThanOrEqual(LEAST);
  });
});

describe('the thermometer of GUM H.3', () => {
  const fit = fitPolynomial(
    THERMOMETER.readingsC.map((x, i) => ({ x, y: THERMOMETER.correctionsK[i] as number, u: null })),
    1,
  );

  test('intercept at 20 °C, slope, their standard uncertainties and the residual standard deviation', () => {
    const at20 = evaluate(fit, fit.coefficients, 20);
    expect(at20.value).toBeCloseTo(THERMOMETER.y1, 12);
    expect(at20.slope).toBeCloseTo(THERMOMETER.y2, 12);
    expect(fit.residualSd).toBeCloseTo(THERMOMETER.s, 12);
    expect(fit.degreesOfFreedom).toBe(9);
    expect(fit.plainU[1]).toBeCloseTo(THERMOMETER.sY2, 12);
  });

  test('without correlation about the mean of the readings, as H.3.5 says', () => {
    const mean = THERMOMETER.readingsC.reduce((sum, x) => sum + x, 0) / 11;
    expect(evaluate(fit, fit.coefficients, mean).value).toBeCloseTo(-0.1625, 4);
  });
});

test('lack of fit: repeats agree, the line does not, and the parabola does', () => {
  const points = [0, 1, 2, 3, 4, 5].flatMap((x) =>
    [-0.01, 0.01, 0.005].map((off) => ({ x, y: 1 + 0.2 * x * x + off * (1 + (x % 2)), u: null })),
  );
  const line = fitPolynomial(points, 1).lackOfFit;
  const parabola = fitPolynomial(points, 2).lackOfFit;
  expect(line).toMatchObject({ above: 4, below: 12 });
  expect(line?.p).toBeLessThan(1e-6);
  expect(parabola?.p).toBeGreaterThan(0.2);
  expect(fitPolynomial(points.slice(0, 1).concat(points[3] ?? [], points[6] ?? []), 1).lackOfFit).toBeNull();
});

test.each([
  // Upper 5 % and 1 % points of printed tables of F (three digits), and the tail as SciPy 1.17 gives it.
  [3.708, 3, 10, 0.05, 2e-5],
  [5.117, 1, 9, 0.05, 2e-5],
  [4.431, 4, 20, 0.01, 2e-5],
  [4.3, 3, 12, 0.02811284894178347, 1e-13],
  [0.5, 5, 7, 0.7685843297279158, 1e-13],
  [2.2, 1, 40, 0.14584785241581524, 1e-13],
  [10, 10, 2, 0.0942691901700841, 1e-13],
  [1, 30, 30, 0.5, 1e-14],
])('F above %d with %d and %d degrees of freedom', (f, above, below, p, within) => {
  expect(Math.abs(exceedsF(f, above, below) - p)).toBeLessThan(within);
});

test('points with uncertainties of their own weigh by them, and scatter beyond them widens the result', () => {
  const near = [0, 1, 2, 3].map((x) => ({ x, y: 2 + x, u: 0.1 }));
  const sure = fitPolynomial(near, 1);
  expect(sure.widened).toBe(1);
  expect(sure.degreesOfFreedom).toBeNull();
  // Σ(x − x̄)² = 5: u(slope) = 0.1/√5.
  expect(sure.plainU[1]).toBeCloseTo(0.1 / Math.sqrt(5), 12);
  const wild = fitPolynomial(
    near.map((point, i) => ({ ...point, y: point.y + (i % 3 === 0 ? 0.4 : -0.4) })),
    1,
  );
  expect(wild.widened).toBeCloseTo(Math.sqrt(0.64 / 0.01 / 2), 9);
  expect(wild.degreesOfFreedom).toBe(2);
  const heavy = fitPolynomial(
    [
      { x: 0, y: 1, u: 0.01 },
      { x: 0, y: 2, u: 1 },
    ],
    0,
  );
  expect(heavy.plain[0]).toBeCloseTo(1, 3);
});

test.each([
  ['fewer points than coefficients', [{ x: 1, y: 1, u: 0.1 }], 1, /need as many points/],
  [
    'the same x twice for a line',
    [
      { x: 1, y: 1, u: 0.1 },
      { x: 1, y: 2, u: 0.1 },
    ],
    1,
    /tell the coefficients apart/,
  ],
  [
    'nothing to tell how sure',
    [
      { x: 1, y: 1, u: null },
      { x: 2, y: 2, u: null },
    ],
    1,
    /how sure/,
  ],
  [
    'uncertainties of some only',
    [
      { x: 1, y: 1, u: 0.1 },
      { x: 2, y: 2, u: null },
    ],
    0,
    /for all or for none/,
  ],
])('%s is refused in words', (_what, points, degree, words) => {
  expect(() => fitPolynomial(points, degree)).toThrow(words);
});

test('sums and products keep twice the digits', () => {
  const tiny = 2 ** -40;
  // 1 and 2⁻³⁰ fit one double; what is left are the low parts.
  expect(plus([1, tiny * tiny], [2 ** -30, -3 * tiny * tiny])).toEqual([1 + 2 ** -30, -2 * tiny * tiny]);
  expect(times([1 + tiny, 0], [1 - tiny, 0])).toEqual([1, -(tiny * tiny)]);
});
