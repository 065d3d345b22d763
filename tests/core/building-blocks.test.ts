import { median as libraryMedian, linearRegression, medianAbsoluteDeviation } from 'simple-statistics';
import { describe, expect, test } from 'vitest';
import { compensate } from '../../src/core/compensation.ts';
import { numericsProbe } from '../../src/core/numerics.ts';
import { effectiveDegreesOfFreedom } from '../../src/core/reading.ts';
import { effectiveCount, fitLine, median, robustDeviation } from '../../src/core/statistics.ts';
import { studentT95 } from '../../src/core/student.ts';
import { noise } from '../support/core-rig.ts';

describe('statistics, against a general-purpose library', () => {
  const ripple = noise(11);
  const t = Array.from({ length: 101 }, (_, i) => i * 0.2);
  const y = t.map((x) => 62 + 0.3 * x + ripple());

  test('median and robust deviation', () => {
    expect(median(y)).toBe(libraryMedian(y));
    expect(median([3, 1, 2, 10])).toBe(2.5);
    expect(robustDeviation(y)).toBeCloseTo(1.4826 * medianAbsoluteDeviation(y), 12);
  });

  test('values that are mostly the same still have a deviation', () => {
    expect(robustDeviation([1, 1, 1, 1, 2])).toBeCloseTo(1.2533 * 0.2, 12);
    expect(robustDeviation([3, 3, 3])).toBe(0);
  });

  test('the line through the points', () => {
    const line = fitLine(t, y);
    const { m, b } = linearRegression(t.map((x, i) => [x, y[i] as number]));
    expect(line?.slope).toBeCloseTo(m, 12);
    expect((line?.mean ?? 0) - m * 10).toBeCloseTo(b, 10);
  });

  test('a large origin of time costs no digits', () => {
    const exact = fitLine([0, 1, 2, 3], [1, 3, 5, 7]);
    const shifted = fitLine(
      [0, 1, 2, 3].map((x) => x + 1.7e12),
      [1, 3, 5, 7],
    );
    expect(exact?.slope).toBe(2);
    expect(shifted?.slope).toBe(2);
    expect(shifted?.residual).toBe(0);
  });

  test('what does not determine a line is null, never NaN', () => {
    expect(fitLine([1, 2], [1, 2])).toBeNull();
    expect(fitLine([1, 1, 1], [1, 2, 3])).toBeNull();
  });

  // Variance of the mean of AR(1) noise: the textbook factor (1 + r) / (1 − r) for long series.
  test('correlated samples are worth fewer', () => {
    expect(effectiveCount(90, 0.5)).toBeCloseTo(30, 12);
    expect(effectiveCount(90, -0.5)).toBe(90);
  });
});

describe("Student's t at 95 %", () => {
  // JCGM 100:2008, Table G.2.
  test.each([
    [1, 12.71],
    [5, 2.57],
    [10, 2.23],
    [20, 2.09],
    [50, 2.01],
    [Number.POSITIVE_INFINITY, 1.96],
  ])('%d degrees of freedom: %d', (degrees, t) => {
    expect(studentT95(degrees)).toBe(t);
  });

  // GUM G.4.1: a number that is no integer is truncated; H.1.6 takes 16 for 16.7.
  test('between two rows the lower one holds', () => {
    expect(studentT95(16.7)).toBe(2.12);
    expect(studentT95(0.3)).toBe(12.71);
  });
});

// JCGM 100:2008, G.4.1 example: u² = 0.25² + 0.57² + 0.82² with 9, 4 and 14 degrees of freedom gives 19.0.
test('Welch–Satterthwaite gives the published example', () => {
  const line = (u: number, degreesOfFreedom: number) =>
    ({ component: '', type: 'A', u, unit: '%', sensitivity: 1, contributionMm: u, degreesOfFreedom }) as const;
  const budget = [line(0.25, 9), line(0.57, 4), line(0.82, 14)];
  const variance = 0.25 * 0.25 + 0.57 * 0.57 + 0.82 * 0.82;
  expect(effectiveDegreesOfFreedom(budget, variance)).toBeCloseTo(19.0, 1);
});

test('hot fluid reads high: compensation to a lower reference takes millimetres off', () => {
  const by = { kind: 'slope', mmPerK: 0.25, uMmPerK: 0.03 } as const;
  expect(compensate(64, 54, 50, by)).toEqual({ mm: 63, perK: -0.25, perSlope: -4 });
  expect(compensate(64, 46, 50, by).mm).toBe(65);
});

test('the numerics probe is stable on one platform', () => {
  expect(numericsProbe()).toMatch(/^[0-9a-f]{8}$/);
  expect(numericsProbe()).toBe(numericsProbe());
});
