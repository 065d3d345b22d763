import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { findRoot } from '../../src/core/find-root.ts';

const seed = Number(process.env.SEED ?? 3101);

describe('the zero of a monotone function', () => {
  test('is found where Newton alone runs away', () => {
    const steps: number[] = [];
    const root = findRoot(
      (x) => {
        steps.push(x);
        const e = Math.exp(-x);
        return { value: (1 - e) / (1 + e) - 0.9, derivative: (2 * e) / ((1 + e) * (1 + e)) };
      },
      -700,
      700,
    );
    expect(root).toBeCloseTo(Math.log(19), 12);
    expect(steps.length).toBeLessThan(40);
  });

  test('is found where the slope vanishes on the way', () => {
    const root = findRoot((x) => ({ value: x * x * x - 1e-12, derivative: 3 * x * x }), -1, 2);
    expect(root).toBeCloseTo(1e-4, 15);
  });

  test('is an end where one is the zero, and the nearer end where the function does not change sign', () => {
    const line = (x: number) => ({ value: x - 3, derivative: 1 });
    expect(findRoot(line, 3, 5)).toBe(3);
    expect(findRoot(line, -1, 3)).toBe(3);
    expect(findRoot(line, 4, 9)).toBe(4);
    expect(findRoot(line, -4, 2)).toBe(2);
  });

  test(`comes back from any cubic that rises or falls (seed ${seed})`, () => {
    const share = fc.double({ min: 0, max: 1, noNaN: true });
    fc.assert(
      fc.property(share, share, share, fc.boolean(), (a, b, at, falls) => {
        const sign = falls ? -1 : 1;
        const f = (x: number) => x * (1 + a * x * (1 + b * x));
        const slope = (x: number) => 1 + a * x * (2 + 3 * b * x);
        const root = findRoot((x) => ({ value: sign * (f(x) - f(at)), derivative: sign * slope(x) }), 0, 1);
        expect(Math.abs(root - at)).toBeLessThan(1e-14);
      }),
      { seed, numRuns: 500 },
    );
  });
});
