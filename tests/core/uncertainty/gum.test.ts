/** The worked examples of the GUM through the lines and the combination that readings go through. */
import { mean, sampleCovariance, sampleStandardDeviation } from 'simple-statistics';
import { describe, expect, test } from 'vitest';
import { fitLine } from '../../../src/core/statistics.ts';
import { combine, covarianceMm2, truncated } from '../../../src/core/uncertainty/combine.ts';
import {
  arcsine,
  correlated,
  line,
  normal,
  rectangular,
  scatter,
  triangular,
} from '../../../src/core/uncertainty/line.ts';
import { studentT } from '../../../src/core/uncertainty/student.ts';
import {
  BOUNDED,
  CALIBRATION,
  END_GAUGE,
  IMPEDANCE,
  OBSERVED,
  OBSERVED_C,
  PRODUCT,
  SPREAD_OF_SPREAD,
} from '../../reference/gum.ts';
import { normals } from '../../support/draws.ts';

const NM = 1e-6;

test('4.4.3: twenty observations, and the uncertainty of their mean', () => {
  const line = fitLine(
    OBSERVED_C.map((_, i) => i),
    [...OBSERVED_C],
  );
  const s = sampleStandardDeviation([...OBSERVED_C]);
  expect(line?.mean).toBeCloseTo(OBSERVED.mean, 10);
  expect(s).toBeCloseTo(OBSERVED.deviation, 3);
  const { uMm, degreesOfFreedom } = combine([lineOf(s / Math.sqrt(20), 19)]);
  expect(uMm).toBeCloseTo(OBSERVED.uMean, 3);
  expect(degreesOfFreedom).toBeCloseTo(19, 9);
});

function lineOf(u: number, degreesOfFreedom: number) {
  return line('mean', scatter(u, 'Cel', degreesOfFreedom));
}

test('4.4.5, 4.4.6: bounds alone', () => {
  const { halfWidthC } = BOUNDED;
  expect(line('', rectangular(halfWidthC, 'Cel')).u).toBeCloseTo(BOUNDED.rectangular, 1);
  expect(line('', triangular(halfWidthC, 'Cel')).u).toBeCloseTo(BOUNDED.triangular, 1);
  expect(line('', arcsine(1, 'K')).u).toBeCloseTo(1 / Math.sqrt(2), 12);
  expect(line('', normal(halfWidthC, 'Cel', 2)).u).toBe(2);
});

test('G.4.1: Welch–Satterthwaite gives 19.0 degrees of freedom', () => {
  const budget = PRODUCT.u.map((u, i) => line(`X${i}`, scatter(u, '%', (PRODUCT.n[i] as number) - 1)));
  const { uMm, degreesOfFreedom, U95Mm } = combine(budget);
  expect(uMm).toBeCloseTo(PRODUCT.uC, 2);
  expect(degreesOfFreedom).toBeCloseTo(PRODUCT.degreesOfFreedom, 1);
  expect(U95Mm).toBeCloseTo(PRODUCT.U95, 1);
});

describe('H.1, end gauge', () => {
  const g = END_GAUGE;
  const lengthMm = g.standardMm;
  const difference = [
    line('difference', scatter((g.difference.deviationNm / Math.sqrt(g.difference.n)) * NM, 'mm', 24)),
    line('comparator, random', normal(g.comparatorRandom.halfWidthNm * NM, 'mm', g.comparatorRandom.t95, 5)),
    line('comparator, systematic', normal(g.comparatorSystematic.expandedNm * NM, 'mm', 3, 8)),
  ];
  const byAlpha = line('difference of expansion', rectangular(g.alphaDifference.halfWidthPerK, '/K', 50), {
    sensitivity: -lengthMm * g.thetaK,
  });
  const byTheta = line('difference of temperature', rectangular(g.thetaDifference.halfWidthK, 'K', 2), {
    sensitivity: -lengthMm * g.alphaPerK,
  });
  const budget = [
    line('standard', normal(g.standard.expandedNm * NM, 'mm', g.standard.factor, g.standard.degreesOfFreedom)),
    ...difference,
    // Both have a sensitivity of 0 where the two expand alike.
    line('expansion', rectangular(g.alpha.halfWidthPerK, '/K'), { sensitivity: 0 }),
    line('temperature', normal(g.theta.uK, 'K'), { sensitivity: 0 }),
    byAlpha,
    byTheta,
  ];

  test('its parts', () => {
    expect(difference.map(({ u }) => Number((u / NM).toFixed(1)))).toEqual([
      g.difference.uNm,
      g.comparatorRandom.uNm,
      g.comparatorSystematic.uNm,
    ]);
    const d = combine(difference);
    expect(d.uMm / NM).toBeCloseTo(g.printed.uDifferenceNm, 1);
    expect(Math.abs(d.degreesOfFreedom - g.printed.differenceDegreesOfFreedom)).toBeLessThan(0.3);
    expect(byAlpha.contributionMm / NM).toBeCloseTo(g.printed.byAlphaNm, 1);
    expect(Math.abs(byTheta.contributionMm / NM - g.printed.byThetaNm)).toBeLessThan(0.1);
    const swing = combine([line('mean', normal(g.theta.uMeanK, 'K')), line('cycle', arcsine(g.theta.cyclicK, 'K'))]);
    expect(swing.uMm).toBeCloseTo(g.theta.uK, 2);
  });

  test('its result', () => {
    const { uMm, degreesOfFreedom } = combine(budget);
    expect(Math.abs(uMm / NM - g.printed.uNm)).toBeLessThan(0.5);
    expect(Math.abs((uMm * uMm) / NM / NM - g.printed.varianceNm2)).toBeLessThan(4);
    expect(degreesOfFreedom).toBeCloseTo(g.printed.degreesOfFreedom, 0);
    expect(truncated(degreesOfFreedom)).toBe(g.printed.truncated);
    // Printed from the rounded 32 nm.
    expect(Math.round(studentT(0.99, truncated(degreesOfFreedom)) * Math.round(uMm / NM))).toBe(g.printed.U99Nm);
  });
});

describe('H.2, resistance and reactance from the same three means', () => {
  const { V, mA, rad, printed } = IMPEDANCE;
  const series = [[...V], mA.map((i) => i / 1000), [...rad]];
  const [v, i, phi] = series.map((one) => mean(one)) as [number, number, number];
  const covariance = series.map((a) => series.map((b) => sampleCovariance(a, b) / 5));
  const z = v / i;
  const of = (sensitivities: readonly number[]) => correlated('means', covariance, sensitivities, 'V, I and phase', 4);
  const R = of([Math.cos(phi) / i, (-z * Math.cos(phi)) / i, -z * Math.sin(phi)]);
  const X = of([Math.sin(phi) / i, (-z * Math.sin(phi)) / i, z * Math.cos(phi)]);
  const Z = of([1 / i, -z / i, 0]);

  test('the values', () => {
    expect(z * Math.cos(phi)).toBeCloseTo(printed.R, 3);
    expect(z * Math.sin(phi)).toBeCloseTo(printed.X, 3);
    expect(z).toBeCloseTo(printed.Z, 3);
  });

  test('the uncertainties, with the covariances of what comes in', () => {
    expect(Math.abs(combine(R).uMm - printed.uR)).toBeLessThan(0.0006);
    expect(Math.abs(combine(X).uMm - printed.uX)).toBeLessThan(0.0006);
    expect(Math.abs(combine(Z).uMm - printed.uZ)).toBeLessThan(0.0006);
  });

  test('the correlations of what comes out, by the shared keys', () => {
    const r = (a: typeof R, b: typeof R) => covarianceMm2(a, b) / (combine(a).uMm * combine(b).uMm);
    expect(Math.abs(r(R, X) - printed.rRX)).toBeLessThan(0.0006);
    expect(Math.abs(r(R, Z) - printed.rRZ)).toBeLessThan(0.0006);
    expect(Math.abs(r(X, Z) - printed.rXZ)).toBeLessThan(0.0006);
  });

  test('what is no covariance matrix is refused', () => {
    const matrix = [
      [1, 2],
      [2, 1],
    ];
    expect(() => correlated('', matrix, [1, 1], 'k')).toThrow(/covariance/);
  });
});

describe('H.3, a line of calibration', () => {
  const { tC, bC, t0C, printed } = CALIBRATION;
  const fit = fitLine([...tC], [...bC]);
  if (fit === null) throw new Error('no line');
  const middleC = mean([...tC]);
  const uMean = fit.residual / Math.sqrt(tC.length);
  const away = t0C - middleC;
  // Intercept at 20 °C and slope: mean and slope are uncorrelated.
  const covariance = [
    [uMean * uMean + away * away * fit.uSlope * fit.uSlope, away * fit.uSlope * fit.uSlope],
    [away * fit.uSlope * fit.uSlope, fit.uSlope * fit.uSlope],
  ];
  const at = (perIntercept: number, perSlope: number) =>
    correlated('line', covariance, [perIntercept, perSlope], 'line', tC.length - 2);

  test('its coefficients', () => {
    expect(fit.mean + fit.slope * away).toBeCloseTo(printed.y1, 4);
    expect(fit.slope).toBeCloseTo(printed.y2, 5);
    expect(fit.uSlope).toBeCloseTo(printed.u2, 5);
    expect(fit.residual).toBeCloseTo(printed.s, 4);
    expect(combine(at(1, 0)).uMm).toBeCloseTo(printed.u1, 4);
    expect(covarianceMm2(at(1, 0), at(0, 1)) / (combine(at(1, 0)).uMm * fit.uSlope)).toBeCloseTo(printed.r, 3);
    expect([fit.mean, uMean].map((x) => Number(x.toFixed(4)))).toEqual([printed.middle.y1, printed.middle.u1]);
  });

  test('the correction at 30 °C, with the correlation of the two', () => {
    const predicted = combine(at(1, 30 - t0C));
    expect(fit.mean + fit.slope * (30 - middleC)).toBeCloseTo(printed.b30, 4);
    expect(predicted.uMm).toBeCloseTo(printed.u30, 4);
    // Two factors of one fit: the formula counts them as two sources, which can only add degrees of freedom.
    expect(predicted.degreesOfFreedom).toBeGreaterThanOrEqual(printed.degreesOfFreedom);
  });
});

test('Table E.1: the scatter of a line is as unsure as its degrees of freedom say (seed 20310)', () => {
  const draw = normals(20310);
  for (const [n, percent] of SPREAD_OF_SPREAD) {
    const t = Array.from({ length: n + 1 }, (_, k) => k);
    const found = Array.from({ length: 4000 }, () => fitLine(t, t.map(draw))?.residual ?? Number.NaN);
    const relative = (100 * sampleStandardDeviation(found)) / mean(found);
    // Half of the printed digit, and three standard deviations of the simulation.
    expect(Math.abs(relative - percent)).toBeLessThan(0.6 + (3 * percent) / Math.sqrt(2 * 4000));
  }
});

describe('Shared quantities', () => {
  const one = (sensitivity: number, shared: string | null, degreesOfFreedom: number | null = null) =>
    line('x', normal(0.3, 'K', 1, degreesOfFreedom), { sensitivity, shared });

  test('add with their signs before they are squared', () => {
    expect(combine([one(2, 'a'), one(-2, 'a')]).uMm).toBe(0);
    expect(combine([one(2, 'a'), one(1, 'a')]).uMm).toBeCloseTo(0.9, 12);
    expect(combine([one(2, null), one(1, null)]).uMm).toBeCloseTo(0.3 * Math.sqrt(5), 12);
    expect(combine([one(2, 'a'), one(1, 'b')]).uMm).toBeCloseTo(0.3 * Math.sqrt(5), 12);
  });

  test('count once in the degrees of freedom, with the fewest of their lines', () => {
    expect(combine([one(1, 'a', 4), one(1, 'a', 9)]).degreesOfFreedom).toBeCloseTo(4, 12);
    expect(combine([one(1, null, 4), one(1, null, 4)]).degreesOfFreedom).toBeCloseTo(8, 12);
    expect(combine([one(1, 'a'), one(1, 'b')]).degreesOfFreedom).toBe(Number.POSITIVE_INFINITY);
  });

  test('nothing at all is certain', () => {
    expect(combine([])).toMatchObject({ uMm: 0, U95Mm: 0 });
  });
});
