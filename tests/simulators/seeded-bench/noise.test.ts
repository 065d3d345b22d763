import { expect, test } from 'vitest';
import { Random } from '../../../simulators/random.ts';
import { CorrelatedNoise, quantised } from '../../../simulators/seeded-bench/noise.ts';

test.each([0.1, 0.5, 2])('correlated noise sampled every %s s has autocorrelation exp(−Δ/τ)', (stepS) => {
  const tau = 1.5;
  const noise = new CorrelatedNoise(0.3, tau, Random.of(11, 'test'));
  const n = 200_000;
  const values = Array.from({ length: n }, (_, i) => noise.at(i * stepS));
  const variance = values.reduce((sum, x) => sum + x * x, 0) / n;
  const phi = Math.exp(-stepS / tau);
  // Of n values with this correlation (1 + φ²)/(1 − φ²) times fewer are independent; five standard errors.
  const independent = (n * (1 - phi * phi)) / (1 + phi * phi);
  expect(Math.abs(variance / 0.09 - 1)).toBeLessThan(5 * Math.sqrt(2 / independent));
  for (const lag of [1, 3]) {
    let product = 0;
    for (let i = lag; i < n; i++) product += (values[i] as number) * (values[i - lag] as number);
    expect(Math.abs(product / (n - lag) / variance - Math.exp((-lag * stepS) / tau))).toBeLessThan(
      5 / Math.sqrt(independent),
    );
  }
});

test('coarse steps round to the nearest', () => {
  expect(quantised(12.26, 0.5)).toBe(12.5);
  expect(quantised(12.24, 0.5)).toBe(12);
  expect(quantised(12.24, 0)).toBe(12.24);
});
