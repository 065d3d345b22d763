import { median as libraryMedian, linearRegression, medianAbsoluteDeviation } from 'simple-statistics';
import { describe, expect, test } from 'vitest';
import { bySlope } from '../../src/core/compensation/ways.ts';
import { numericsProbe } from '../../src/core/numerics.ts';
import { effectiveCount, fitLine, median, robustDeviation } from '../../src/core/statistics.ts';
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

test('hot fluid reads high: compensation to a lower reference takes millimetres off', () => {
  const by = { mmPerK: 0.25, uMmPerK: 0.03 };
  const place = { levelMm: 64, vesselC: 54, circuitC: 54, circuitState: 'none', referenceC: 50 };
  expect(bySlope(by, place)).toMatchObject({ mm: 63, perVesselK: -0.25, leans: [{ perUnit: -4, u: 0.03 }] });
  expect(bySlope(by, { ...place, vesselC: 46 }).mm).toBe(65);
});

test('the numerics probe is stable on one platform', () => {
  expect(numericsProbe()).toMatch(/^[0-9a-f]{8}$/);
  expect(numericsProbe()).toBe(numericsProbe());
});
