import { describe, expect, test } from 'vitest';
import { CALM, handmade, over, TOLERANCE_MM } from './handmade.ts';
import { Covariance, oracleReady } from './oracle.ts';
import { holds, medianOfFive, spreads } from './spread-hold.ts';

describe('spread-hold', () => {
  const levels = Array.from({ length: 101 }, (_, i) => ({ tS: i / 10, mm: i === 60 ? 55 : 50 + (i % 2) / 10 }));

  test('greatest minus least of the last seconds, once they are covered', () => {
    const found = spreads(levels, 2, false, 1);
    expect(found[19]?.mm).toBe(Number.POSITIVE_INFINITY);
    expect(found[20]?.mm).toBeCloseTo(0.1, 9);
    expect(found[60]?.mm).toBeCloseTo(5, 9);
    expect(found[80]?.mm).toBeCloseTo(5, 9);
    expect(found[81]?.mm).toBeCloseTo(0.1, 9);
  });

  test('agrees with counting it out', () => {
    const wild = levels.map(({ tS }, i) => ({ tS, mm: ((i * 7919) % 101) / 10 }));
    for (const [i, { mm }] of spreads(wild, 1.5, false, 1).entries()) {
      if (i < 15) continue;
      const last = wild.slice(i - 15, i + 1).map((one) => one.mm);
      expect(mm).toBeCloseTo(Math.max(...last) - Math.min(...last), 9);
    }
  });

  test('a median of five swallows a single wild value', () => {
    expect(Math.max(...medianOfFive(levels).map(({ mm }) => mm))).toBeCloseTo(50.1, 9);
    expect(spreads(levels, 2, true, 1)[60]?.mm).toBeCloseTo(0.1, 9);
  });

  test('ready while within the limit; silence begins the hold anew', () => {
    const gap = levels.filter(({ tS }) => tS < 3 || tS >= 4.95);
    expect(holds(spreads(levels, 2, false, 1), 1, 10)).toEqual([
      [2, 6],
      [8.1, 10],
    ]);
    expect(holds(spreads(gap, 2, false, 1), 1, 10)[0]).toEqual([2, 5]);
  });
});

describe('the oracle’s covariance', () => {
  test('white noise alone: the mean of n samples, σ/√n', () => {
    const known = new Covariance({ whiteMm: 0.1, correlatedMm: 0, correlationS: 1 }, 1e9, 1e3, 0);
    for (let i = 0; i < 25; i++) {
      known.advance(0.1);
      known.sample(0.01);
    }
    expect(known.seLevelMm).toBeCloseTo(0.1 / 5, 6);
  });

  test('correlated noise alone: the best mean of n evenly spaced samples, σ²(1 + φ)/(n − (n − 2)φ)', () => {
    // Variance of the generalised least squares mean of a first-order autoregressive series: 1/(1ᵀ R⁻¹ 1).
    const phi = Math.exp(-0.1 / 0.5);
    const known = new Covariance({ whiteMm: 0, correlatedMm: 0.2, correlationS: 0.5 }, 1e9, 1e4, 0);
    const n = 40;
    for (let i = 0; i < n; i++) {
      if (i > 0) known.advance(0.1);
      known.sample(1e-12);
    }
    expect(known.seLevelMm).toBeCloseTo(Math.sqrt((0.04 * (1 + phi)) / (n - (n - 2) * phi)), 4);
  });

  test('plateau and remainder: as weighted least squares on the same samples', () => {
    const known = new Covariance({ whiteMm: 0.1, correlatedMm: 0, correlationS: 1 }, 8, 1e4, 1e4);
    let [s1, se, see] = [0, 0, 0];
    for (let i = 0; i < 50; i++) {
      if (i > 0) known.advance(0.2);
      known.sample(0.01);
      const e = Math.exp(-((i - 49) * 0.2) / 8);
      s1 += 1;
      se += e;
      see += e * e;
    }
    const determinant = s1 * see - se * se;
    expect(known.seRemainderMm).toBeCloseTo(0.1 * Math.sqrt(s1 / determinant), 5);
    expect(known.seLevelMm).toBeCloseTo(0.1 * Math.sqrt((s1 + see - 2 * se) / determinant), 5);
  });
});

test('all of it together, as generalised least squares with the covariance of every sample', () => {
  const [n, stepS, tau, correlationS, white, correlated] = [30, 0.3, 6, 1.2, 0.1, 0.15];
  const known = new Covariance({ whiteMm: white, correlatedMm: correlated, correlationS }, tau, 1e4, 1e4);
  for (let i = 0; i < n; i++) {
    if (i > 0) known.advance(stepS);
    known.sample(white * white);
  }
  const covariance = Array.from({ length: n }, (_, i) =>
    Array.from(
      { length: n },
      (_, j) =>
        correlated * correlated * Math.exp((-Math.abs(i - j) * stepS) / correlationS) + (i === j ? white * white : 0),
    ),
  );
  const one = Array.from({ length: n }, () => 1);
  const remaining = Array.from({ length: n }, (_, i) => Math.exp(((n - 1 - i) * stepS) / tau));
  const weighted = [one, remaining].map((x) => solve(covariance, x));
  const dot = (x: readonly number[], y: readonly number[]) => x.reduce((sum, v, i) => sum + v * (y[i] as number), 0);
  const a = dot(one, weighted[0] as number[]);
  const b = dot(one, weighted[1] as number[]);
  const c = dot(remaining, weighted[1] as number[]);
  const determinant = a * c - b * b;
  expect(known.seRemainderMm).toBeCloseTo(Math.sqrt(a / determinant), 5);
  expect(known.seLevelMm).toBeCloseTo(Math.sqrt((a + c - 2 * b) / determinant), 5);
});

/** Gaussian elimination; the matrix is positive definite, so no pivoting. */
function solve(matrix: readonly (readonly number[])[], right: readonly number[]): number[] {
  const rows = matrix.map((row, i) => [...row, right[i] as number]);
  const n = rows.length;
  for (let k = 0; k < n; k++)
    for (let i = 0; i < n; i++) {
      if (i === k) continue;
      const pivot = rows[k] as number[];
      const row = rows[i] as number[];
      const factor = (row[k] as number) / (pivot[k] as number);
      for (let j = k; j <= n; j++) row[j] = (row[j] as number) - factor * (pivot[j] as number);
    }
  return rows.map((row, i) => (row[n] as number) / (row[i] as number));
}

describe('the oracle', () => {
  test('on a calm bench it waits until the remainder is known, and no longer', () => {
    const [span] = oracleReady(handmade());
    // By least squares: the first n for which 3.09 σ √(n/det) is at most the tolerance.
    const se = (n: number) => {
      let [a, b] = [0, 0];
      for (let i = 0; i < n; i++) {
        const e = Math.exp(((n - 1 - i) * 0.1) / CALM.drainBackS);
        a += e;
        b += e * e;
      }
      return 0.1 * Math.sqrt(n / (n * b - a * a));
    };
    let n = 3;
    while (3.09 * se(n) > TOLERANCE_MM) n++;
    expect(span?.[0]).toBeCloseTo((n - 1) * 0.1, 1);
    expect(span?.[1]).toBeCloseTo(100, 1);
  });

  test('twice the noise takes it longer, wild samples do not help it', () => {
    const from = (bench: ReturnType<typeof handmade>) => oracleReady(bench)[0]?.[0] as number;
    const noisy = handmade({ ...CALM, gauge: { ...CALM.gauge, whiteMm: 0.2 } });
    const sparse = handmade();
    const rows = sparse.rows.map((row, i) => ({ ...row, sound: i % 4 === 0 }));
    expect(from(noisy)).toBeGreaterThan(1.3 * from(handmade()));
    expect(from({ ...sparse, rows })).toBeGreaterThan(1.3 * from(handmade()));
  });

  test('it begins anew after anything that is not fit, and knows no error of the probe', () => {
    const bench = handmade();
    over(bench.world.pouring, 40, 45, 1);
    const spans = oracleReady(bench);
    expect(spans).toHaveLength(2);
    expect(spans[1]?.[0]).toBeGreaterThan(45.5);
    expect(oracleReady(handmade({ ...CALM, probe: { ...CALM.probe, offsetK: 5.5 } }))).toEqual([]);
  });
});
