/**
 * A polynomial through calibration points, in the centred and scaled variable z = (x − centre) / half-span. Without
 * uncertainties of the points their scatter about the curve tells how sure it is (GUM H.3); with them they are the
 * weights, and the result is widened where the scatter is larger than they allow (Birge, Physical Review 40, 1932).
 */
import { over, plus, type Twofold, times, twofold, ZERO } from './double-double.ts';
import { exceedsF } from './f-distribution.ts';
import { leastSquares } from './least-squares.ts';

export interface FitPoint {
  readonly x: number;
  readonly y: number;
  /** Standard uncertainty of y, independent of the other points; null where it is not known. */
  readonly u: number | null;
  /** Points of one group are repeats of each other; by default those of equal x. */
  readonly group?: number;
}

export interface PolynomialFit {
  readonly centre: number;
  readonly halfSpan: number;
  /** Of the powers of z, from 0 up. */
  readonly coefficients: readonly number[];
  readonly covariance: readonly (readonly number[])[];
  /** The same polynomial in powers of x, for people, with standard uncertainties. */
  readonly plain: readonly number[];
  readonly plainU: readonly number[];
  readonly residuals: readonly number[];
  /** Of one observation about the curve, in the unit of y; null without degrees of freedom. */
  readonly residualSd: number | null;
  /** Points minus coefficients. */
  readonly scatterDegreesOfFreedom: number;
  /** Of the covariance: null for infinite, where it rests on the points' own uncertainties. */
  readonly degreesOfFreedom: number | null;
  /** How many times wider than the points' own uncertainties claim; 1 where they do not matter. */
  readonly widened: number;
  readonly lackOfFit: LackOfFit | null;
}

/** Scatter of the group means about the curve against the scatter within the groups. */
export interface LackOfFit {
  readonly F: number;
  readonly above: number;
  readonly below: number;
  /** Probability of an F as large as this where the curve is right. */
  readonly p: number;
}

export const HIGHEST_DEGREE = 4;

/** Throws a RangeError where the points do not determine the polynomial, or nothing tells how sure it is. */
export function fitPolynomial(points: readonly FitPoint[], degree: number): PolynomialFit {
  const x = points.map((point) => point.x);
  const low = Math.min(...x);
  const high = Math.max(...x);
  const centre = (low + high) / 2;
  const halfSpan = high > low ? (high - low) / 2 : 1;
  const z = x.map((value) => over(plus(twofold(value), twofold(-centre)), twofold(halfSpan)));
  const columns = Array.from({ length: degree + 1 }, (_, power) => z.map((value) => powerOf(value, power)));
  const weights = weightsOf(points);
  const y = points.map((point) => point.y);
  const fit = weights === null ? leastSquares(columns, y) : leastSquares(columns, y, weights);
  const nu = fit.degreesOfFreedom;
  if (weights === null && nu === 0)
    throw new RangeError(
      'as many points as coefficients, and no uncertainty of them: nothing tells how sure the fit is',
    );
  const perWeight = nu > 0 ? fit.squares / nu : 0;
  const widened = weights === null ? 1 : Math.max(1, Math.sqrt(perWeight));
  const variance = weights === null ? perWeight : widened * widened;
  const covariance = fit.inverse.map((row) => row.map((entry) => entry[0] * variance));
  const people = inPowersOfX(fit.coefficients, fit.inverse, centre, halfSpan);
  const sumOfWeights = (weights ?? y.map(() => 1)).reduce((sum, weight) => sum + weight, 0);
  return {
    centre,
    halfSpan,
    coefficients: fit.coefficients.map(([value]) => value),
    covariance,
    plain: people.coefficients,
    plainU: people.roots.map((root) => root * Math.sqrt(variance)),
    residuals: fit.residuals,
    residualSd: nu > 0 ? Math.sqrt((perWeight * points.length) / sumOfWeights) : null,
    scatterDegreesOfFreedom: nu,
    degreesOfFreedom: weights === null || widened > 1 ? nu : null,
    widened,
    lackOfFit: lackOfFit(points, fit.residuals, weights, degree + 1),
  };
}

/** Value and slope of Σ c_j z^j at x, the slope per unit of x. */
export function evaluate(
  { centre, halfSpan }: { readonly centre: number; readonly halfSpan: number },
  coefficients: readonly number[],
  x: number,
): { value: number; slope: number } {
  const z = (x - centre) / halfSpan;
  let value = 0;
  let slope = 0;
  for (let j = coefficients.length - 1; j >= 0; j--) {
    slope = slope * z + value;
    value = value * z + (coefficients[j] as number);
  }
  return { value, slope: slope / halfSpan };
}

function weightsOf(points: readonly FitPoint[]): number[] | null {
  const known = points.flatMap(({ u }) => (u !== null && u > 0 ? [u] : []));
  if (known.length === 0) return null;
  if (known.length < points.length)
    throw new RangeError('some points have an uncertainty and some have none: give it for all or for none');
  return known.map((u) => 1 / (u * u));
}

function powerOf(z: Twofold, power: number): Twofold {
  let value = twofold(1);
  for (let i = 0; i < power; i++) value = times(value, z);
  return value;
}

/** Expands ((x − centre)/half-span)^j; covariances go the same way. */
function inPowersOfX(
  coefficients: readonly Twofold[],
  inverse: readonly (readonly Twofold[])[],
  centre: number,
  halfSpan: number,
): { coefficients: number[]; roots: number[] } {
  const n = coefficients.length;
  const factor: readonly Twofold[] = [over(twofold(-centre), twofold(halfSpan)), over(twofold(1), twofold(halfSpan))];
  const powers: Twofold[][] = [[twofold(1)]];
  for (let j = 1; j < n; j++) {
    const before = powers[j - 1] as Twofold[];
    powers.push(
      Array.from({ length: j + 1 }, (_, i) =>
        plus(times(before[i] ?? ZERO, factor[0] as Twofold), times(before[i - 1] ?? ZERO, factor[1] as Twofold)),
      ),
    );
  }
  const share = (j: number, i: number): Twofold => powers[j]?.[i] ?? ZERO;
  const sumOver = (term: (j: number) => Twofold): Twofold => powers.reduce((total, _, j) => plus(total, term(j)), ZERO);
  return {
    coefficients: coefficients.map((_, i) => sumOver((j) => times(coefficients[j] as Twofold, share(j, i)))[0]),
    roots: coefficients.map((_, i) =>
      Math.sqrt(
        Math.max(0, sumOver((j) => sumOver((k) => times(times(inverse[j]?.[k] ?? ZERO, share(j, i)), share(k, i))))[0]),
      ),
    ),
  };
}

/** Draper and Smith, Applied Regression Analysis, chapter 2: null without repeats, or where the curve uses them up. */
function lackOfFit(
  points: readonly FitPoint[],
  residuals: readonly number[],
  weights: readonly number[] | null,
  coefficients: number,
): LackOfFit | null {
  const groups = new Map<number, number[]>();
  for (const [i, { x, group }] of points.entries()) {
    const key = group ?? x;
    groups.set(key, [...(groups.get(key) ?? []), i]);
  }
  const above = groups.size - coefficients;
  const below = points.length - groups.size;
  if (above < 1 || below < 1) return null;
  let within = 0;
  let between = 0;
  for (const members of groups.values()) {
    let sum = 0;
    let weight = 0;
    for (const i of members) {
      sum += (weights?.[i] ?? 1) * (residuals[i] as number);
      weight += weights?.[i] ?? 1;
    }
    const mean = sum / weight;
    between += weight * mean * mean;
    for (const i of members) {
      const off = (residuals[i] as number) - mean;
      within += (weights?.[i] ?? 1) * off * off;
    }
  }
  if (!(within > 0)) return null;
  const F = between / above / (within / below);
  return { F, above, below, p: exceedsF(F, above, below) };
}
