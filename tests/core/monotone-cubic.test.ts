import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { monotoneCubic } from '../../src/core/monotone-cubic.ts';
import { CURVES, HAND_CASE, OTHER_METHOD } from '../reference/monotone-cubic.ts';

const seed = Number(process.env.SEED ?? 3102);

describe.each(CURVES)('$name', ({ x, y, slopes, at, values }) => {
  const curve = monotoneCubic(x, y);

  test('gives the reference values', () => {
    for (const [i, point] of at.entries())
      expect(Math.abs(curve.at(point).value - (values[i] as number)), `at ${point}`).toBeLessThanOrEqual(2e-14);
  });

  test('has the reference slopes at its points, and passes through them', () => {
    for (const [i, node] of x.entries()) {
      expect(Math.abs(curve.at(node).derivative - (slopes[i] as number)), `at ${node}`).toBeLessThanOrEqual(1e-12);
      expect(curve.at(node).value).toBe(y[i]);
    }
  });

  test('never turns back, at 4001 places', () => {
    const first = x[0] as number;
    const step = ((x.at(-1) as number) - first) / 4000;
    let before = curve.at(first).value;
    for (let i = 1; i <= 4000; i++) {
      const { value } = curve.at(Math.min(first + i * step, x.at(-1) as number));
      expect(value).toBeGreaterThanOrEqual(before);
      before = value;
    }
  });
});

describe('a monotone cubic', () => {
  test('has the slopes of the case by hand', () => {
    const curve = monotoneCubic(HAND_CASE.x, HAND_CASE.y);
    for (const [i, node] of HAND_CASE.x.entries())
      expect(curve.at(node).derivative).toBeCloseTo(HAND_CASE.slopes[i] as number, 12);
  });

  test('limits its end slope to three chords where the data turn back', () => {
    // scipy: 3 at the left end, not the 7 of the parabola.
    const curve = monotoneCubic([0, 1, 2], [0, 1, -10]);
    expect(curve.at(0).derivative).toBe(3);
    expect(curve.at(1).derivative).toBe(0);
  });

  test('is not the other method that bears the same name', () => {
    const [{ x, y }] = CURVES;
    const curve = monotoneCubic(x, y);
    const apart = OTHER_METHOD.at.map((at, i) => Math.abs(curve.at(at).value - (OTHER_METHOD.values[i] as number)));
    expect(Math.max(...apart)).toBeGreaterThan(0.005);
  });

  test('is the straight line through two points', () => {
    const curve = monotoneCubic([1, 5], [10, 2]);
    expect(curve.at(2)).toEqual({ value: 8, derivative: -2, inRange: true });
    expect(curve.inverse(8)).toEqual({ value: 2, derivative: -0.5, inRange: true });
  });

  test('holds the end values outside, and says so', () => {
    const curve = monotoneCubic([0, 1, 3], [5, 6, 9]);
    expect(curve.at(-1e300)).toEqual({ value: 5, derivative: 0, inRange: false });
    expect(curve.at(3.0001)).toEqual({ value: 9, derivative: 0, inRange: false });
    expect(curve.at(Number.NaN)).toEqual({ value: 5, derivative: 0, inRange: false });
    expect(curve.inverse(4)).toEqual({ value: 0, derivative: 0, inRange: false });
    expect(curve.inverse(1e300)).toEqual({ value: 3, derivative: 0, inRange: false });
    expect(curve.at(0).inRange && curve.at(3).inRange && curve.inverse(5).inRange && curve.inverse(9).inRange).toBe(
      true,
    );
    const falling = monotoneCubic([0, 1, 3], [9, 6, 5]);
    expect(falling.inverse(9.5)).toEqual({ value: 0, derivative: 0, inRange: false });
    expect(falling.inverse(4.5)).toEqual({ value: 3, derivative: 0, inRange: false });
  });

  test('keeps the slope of its inverse a number where the curve starts level', () => {
    const { value, derivative, inRange } = monotoneCubic([0, 1, 2], [0, 1, 4]).inverse(0);
    expect({ value, inRange }).toEqual({ value: 0, inRange: true });
    expect(derivative).toBeCloseTo(1e6, 0);
  });

  test('has no inverse where it stands still or turns back', () => {
    for (const y of [
      [1, 1, 2],
      [1, 3, 2],
    ]) {
      const curve = monotoneCubic([0, 1, 2], y);
      expect(curve.invertible).toBe(false);
      expect(() => curve.inverse(1.5)).toThrow('no inverse');
    }
  });

  test('refuses what is no table', () => {
    expect(() => monotoneCubic([1], [1])).toThrow('at least two points');
    expect(() => monotoneCubic([1, 2], [1])).toThrow('as many values');
    expect(() => monotoneCubic([1, 1], [1, 2])).toThrow('point 2 (1) does not lie above point 1 (1)');
    expect(() => monotoneCubic([1, 2], [1, Number.NaN])).toThrow('point 2 is not a number');
    expect(() => monotoneCubic([0, 1, 2], [-1.7e308, 1.7e308, 0])).toThrow('too far apart');
  });
});

/** Tables whose points are not crowded beyond what sixteen digits can tell apart. */
const table = fc
  .array(fc.tuple(fc.integer({ min: 1, max: 1000 }), fc.integer({ min: 1, max: 1000 })), {
    minLength: 1,
    maxLength: 20,
  })
  .chain((steps) =>
    fc.boolean().map((falls) => {
      const x = [-3];
      const y = [7];
      for (const [dx, dy] of steps) {
        x.push((x.at(-1) as number) + dx / 100);
        y.push((y.at(-1) as number) + ((falls ? -1 : 1) * dy) / 100);
      }
      return { x, y, falls };
    }),
  );
const share = fc.double({ min: 0, max: 1, noNaN: true });

describe(`any monotone table (seed ${seed})`, () => {
  test('comes back through its inverse', () => {
    fc.assert(
      fc.property(table, share, ({ x, y }, s) => {
        const curve = monotoneCubic(x, y);
        const at = (x[0] as number) + s * ((x.at(-1) as number) - (x[0] as number));
        const there = curve.at(at);
        expect(Math.abs(curve.at(curve.inverse(there.value).value).value - there.value)).toBeLessThan(1e-12);
        // The argument comes back as well as the slope there lets it.
        const lost = 1e-14 * (Math.abs(there.value) + 1);
        const back = curve.inverse(there.value).value;
        expect(Math.abs(back - at)).toBeLessThan(1e-9 + lost / Math.max(Math.abs(there.derivative), 1e-9));
      }),
      { seed, numRuns: 1000 },
    );
  });

  test('passes through its points exactly', () => {
    fc.assert(
      fc.property(table, ({ x, y }) => {
        const curve = monotoneCubic(x, y);
        for (const [i, node] of x.entries()) expect(curve.at(node).value).toBe(y[i]);
      }),
      { seed, numRuns: 300 },
    );
  });

  test('rises or falls throughout, and its slope is the limit of its differences', () => {
    fc.assert(
      fc.property(table, share, share, ({ x, y, falls }, s, t) => {
        const curve = monotoneCubic(x, y);
        const first = x[0] as number;
        const span = (x.at(-1) as number) - first;
        const [low, high] = [first + Math.min(s, t) * span, first + Math.max(s, t) * span];
        const risen = curve.at(high).value - curve.at(low).value;
        expect(falls ? -risen : risen).toBeGreaterThanOrEqual(-1e-12);
        const h = 1e-6;
        const middle = first + s * span;
        fc.pre(x.every((node) => Math.abs(node - middle) > 2 * h));
        const numeric = (curve.at(middle + h).value - curve.at(middle - h).value) / (2 * h);
        expect(Math.abs(numeric - curve.at(middle).derivative)).toBeLessThan(1e-4);
      }),
      { seed, numRuns: 1000 },
    );
  });
});
