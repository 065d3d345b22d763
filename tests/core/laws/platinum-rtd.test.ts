import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { platinumResistance, platinumRtd } from '../../../src/core/laws/platinum-rtd.ts';
import { RTD_CLASSES, rtdTolerance } from '../../../src/core/laws/rtd-tolerance.ts';
import { OLD_CURVE, PT100, TOLERANCES } from '../../reference/platinum.ts';

const seed = Number(process.env.SEED ?? 3103);
const pt100 = platinumRtd({ kind: 'platinum-rtd', r0Ohm: 100 });

/** Half a unit of the last printed digit, with room for the rounding of a tie. */
const halfDigit = (digits: number) => [0.5, 0.05, 0.005, 0.0005][digits] as number;
const TIE = 1e-9;

describe('IEC 60751 as printed', () => {
  test('has all 54 points', () => {
    expect(PT100).toHaveLength(54);
  });

  test.each(PT100)('$tC °C is $ohm Ω to the last digit', ({ tC, ohm, digits }) => {
    expect(Math.abs(platinumResistance(100, tC).value - ohm)).toBeLessThanOrEqual(halfDigit(digits) + TIE);
    const { value, derivative, flag } = pt100.at(platinumResistance(100, tC).value, {});
    expect(Math.abs(value - tC)).toBeLessThan(1e-10);
    expect(flag).toBeNull();
    // What was printed is rounded, so it comes back moved by the rounding; −200 °C lies at the end of the range.
    const rounding = Math.max(ohm, pt100.validSignal({}).low) - platinumResistance(100, tC).value;
    expect(pt100.at(ohm, {}).value).toBeCloseTo(tC + rounding * derivative, 6);
  });

  test('is not the older curve that circulates beside the new coefficients', () => {
    for (const { tC, ohm } of OLD_CURVE.points)
      expect(Math.abs(platinumResistance(100, tC).value - ohm), `${tC} °C`).toBeGreaterThan(0.005);
  });

  test('keeps its mean slope from 0 to 100 °C, 3.851e-3 per °C', () => {
    const alpha = (platinumResistance(100, 100).value / 100 - 1) / 100;
    expect(alpha).toBeCloseTo(0.003851, 6);
  });

  test.each([
    [-100, 0.40531],
    [0, 0.39083],
    [25, 0.38794],
    [100, 0.37928],
    [400, 0.34463],
  ])('rises at %d °C by %d Ω/K', (tC, ohmPerK) => {
    expect(platinumResistance(100, tC).derivative).toBeCloseTo(ohmPerK, 5);
  });
});

describe('tolerance classes', () => {
  test.each(TOLERANCES)('class $rtdClass at $tC °C is ±$limitC °C and ±$limitOhm Ω', (row) => {
    const { halfWidthK } = rtdTolerance(row.rtdClass, 'wire-wound', row.tC);
    const ohm = halfWidthK * platinumResistance(100, row.tC).derivative;
    const rounded = row.source.includes('rounded up');
    expect(Math.abs(halfWidthK - row.limitC)).toBeLessThan(rounded ? 0.0501 : 1e-9);
    expect(Math.abs(ohm - row.limitOhm)).toBeLessThan(rounded ? 0.0101 : 0.00501);
  });

  test('widen in their order at every temperature', () => {
    for (const tC of [-150, -20, 0, 60, 300]) {
      const widths = RTD_CLASSES.map((rtdClass) => rtdTolerance(rtdClass, 'film', tC).halfWidthK);
      expect(widths).toEqual([...widths].sort((a, b) => a - b));
    }
  });

  test('promise nothing outside the range of class and build', () => {
    expect(rtdTolerance('AA', 'film', 150).inRange).toBe(true);
    expect(rtdTolerance('AA', 'film', 151).inRange).toBe(false);
    expect(rtdTolerance('AA', 'wire-wound', 151).inRange).toBe(true);
    expect(rtdTolerance('A', 'film', -31).inRange).toBe(false);
    expect(rtdTolerance('A', 'wire-wound', -31).inRange).toBe(true);
    expect(rtdTolerance('B', 'film', 501).inRange).toBe(false);
    expect(rtdTolerance('C', 'wire-wound', -197).inRange).toBe(false);
  });

  test('move with temperature as their derivative says', () => {
    for (const tC of [-40, 80])
      for (const rtdClass of RTD_CLASSES) {
        const [above, below] = [tC + 1, tC - 1].map((at) => rtdTolerance(rtdClass, 'film', at).halfWidthK);
        expect(rtdTolerance(rtdClass, 'film', tC).derivative).toBeCloseTo(((above ?? 0) - (below ?? 0)) / 2, 12);
      }
  });
});

describe('from resistance to temperature', () => {
  test(`comes back exactly, for any R0 (seed ${seed})`, () => {
    fc.assert(
      fc.property(
        fc.double({ min: 10, max: 10_000, noNaN: true }),
        fc.double({ min: -200, max: 850, noNaN: true }),
        (r0Ohm, tC) => {
          const law = platinumRtd({ kind: 'platinum-rtd', r0Ohm });
          const { value } = law.at(platinumResistance(r0Ohm, tC).value, {});
          expect(Math.abs(value - tC)).toBeLessThan(1e-9);
        },
      ),
      { seed, numRuns: 2000 },
    );
  });

  test('joins smoothly at 0 °C', () => {
    const below = pt100.at(100 - 1e-9, {});
    const above = pt100.at(100 + 1e-9, {});
    expect(pt100.at(100, {}).value).toBe(0);
    expect(below.value).toBeCloseTo(-above.value, 13);
    expect(below.derivative).toBeCloseTo(above.derivative, 9);
  });

  test('ends at −200 and at 850 °C', () => {
    const { low, high } = pt100.validSignal({});
    expect(low).toBeCloseTo(18.52008, 9);
    expect(high).toBeCloseTo(390.481125, 9);
    expect(pt100.at(390.5, {})).toMatchObject({ derivative: 0, flag: 'out-of-range' });
    expect(pt100.at(390.5, {}).value).toBeCloseTo(850, 9);
    expect(pt100.at(18.5, {}).value).toBeCloseTo(-200, 9);
  });

  test('refuses an R0 that is none', () => {
    for (const r0Ohm of [0, -100, Number.NaN])
      expect(() => platinumRtd({ kind: 'platinum-rtd', r0Ohm })).toThrow(
        'the resistance at 0 °C must be a number above 0',
      );
  });
});
