import { describe, expect, test } from 'vitest';
import { betaFrom, type NtcCurve, ntc, resistanceOhm, steinhartHart } from '../../../src/core/laws/ntc.ts';
import {
  BETA_EXAMPLE,
  BETA_FROM_POINTS,
  BROKEN_EXAMPLE,
  GENERIC_10K,
  PUBLISHED_TABLE,
  TEXTBOOK_POINTS,
} from '../../reference/thermistors.ts';

const WIDE = { low: -50, high: 150 };
const relative = (value: number, reference: number) => Math.abs(value / reference - 1);
const through = (points: readonly { tC: number; ohm: number }[]): NtcCurve => ({
  form: 'three-points',
  points: points as unknown as Extract<NtcCurve, { form: 'three-points' }>['points'],
});

describe('Steinhart and Hart', () => {
  test('solves the textbook case of three points', () => {
    const { a, b, c } = steinhartHart(through(TEXTBOOK_POINTS.points));
    expect(relative(a, TEXTBOOK_POINTS.a)).toBeLessThan(1e-9);
    expect(relative(b, TEXTBOOK_POINTS.b)).toBeLessThan(1e-9);
    expect(relative(c, TEXTBOOK_POINTS.c)).toBeLessThan(1e-9);
  });

  test('passes through the three points, and through what follows from them', () => {
    const curve = through(TEXTBOOK_POINTS.points);
    const law = ntc({ kind: 'ntc', curve, validC: { low: 0, high: 60 } });
    for (const { tC, ohm } of TEXTBOOK_POINTS.points) expect(law.at(ohm, {}).value).toBeCloseTo(tC, 10);
    for (const { tC, ohm } of TEXTBOOK_POINTS.resistances) {
      expect(Math.abs(resistanceOhm(steinhartHart(curve), tC) - ohm)).toBeLessThanOrEqual(0.0005001);
      expect(law.at(ohm, {}).value).toBeCloseTo(tC, 4);
    }
  });

  test('gives the temperatures of the widely published 10 kΩ coefficients', () => {
    const { a, b, c } = GENERIC_10K;
    const law = ntc({ kind: 'ntc', curve: { form: 'steinhart-hart', a, b, c }, validC: WIDE });
    for (const { ohm, tC } of GENERIC_10K.temperatures)
      expect(Math.abs(law.at(ohm, {}).value - tC), `${ohm} Ω`).toBeLessThanOrEqual(0.00000501);
  });

  test('finds the wrong digit of the published table', () => {
    const { points, wrong } = PUBLISHED_TABLE;
    const curve = through(points.filter(({ tC }) => tC === 0 || tC === 20 || tC === 50));
    const { a, b, c } = steinhartHart(curve);
    expect(relative(a, PUBLISHED_TABLE.a)).toBeLessThan(1e-9);
    expect(relative(b, PUBLISHED_TABLE.b)).toBeLessThan(1e-9);
    expect(relative(c, PUBLISHED_TABLE.c)).toBeLessThan(1e-9);
    const law = ntc({ kind: 'ntc', curve, validC: { low: 0, high: 50 } });
    for (const { tC, ohm } of points) {
      const off = Math.abs(law.at(ohm, {}).value - tC);
      if (tC === wrong.tC) expect(off).toBeGreaterThan(0.47);
      else expect(off, `${tC} °C`).toBeLessThan(0.0016);
    }
    expect(Math.abs(law.at(wrong.rightOhm, {}).value - wrong.tC)).toBeLessThan(0.0011);
  });

  test('does not give the printed coefficients of the example that contradicts itself', () => {
    const { a, b, c } = steinhartHart(through(BROKEN_EXAMPLE.points));
    expect(relative(a, BROKEN_EXAMPLE.recomputed.a)).toBeLessThan(1e-9);
    expect(relative(b, BROKEN_EXAMPLE.recomputed.b)).toBeLessThan(1e-9);
    expect(relative(c, BROKEN_EXAMPLE.recomputed.c)).toBeLessThan(1e-9);
    expect(relative(a, BROKEN_EXAMPLE.printed.a)).toBeGreaterThan(0.005);
    expect(relative(c, BROKEN_EXAMPLE.printed.c)).toBeGreaterThan(0.1);
  });
});

describe('the B-value', () => {
  const { r0Ohm, t0C, betaK } = BETA_EXAMPLE;
  const curve: NtcCurve = { form: 'beta', r0Ohm, t0C, betaK };

  test('gives the resistances of the example and comes back', () => {
    const law = ntc({ kind: 'ntc', curve, validC: WIDE });
    for (const { tC, ohm } of BETA_EXAMPLE.resistances) {
      expect(Math.abs(resistanceOhm(steinhartHart(curve), tC) - ohm), `${tC} °C`).toBeLessThan(0.00006);
      expect(law.at(resistanceOhm(steinhartHart(curve), tC), {}).value).toBeCloseTo(tC, 10);
    }
  });

  test('comes from two points', () => {
    expect(betaFrom(BETA_FROM_POINTS.first, BETA_FROM_POINTS.second)).toBeCloseTo(BETA_FROM_POINTS.betaK, 4);
  });
});

describe('a curve that is none', () => {
  test.each([
    [
      'resistances that rise',
      through([
        { tC: 0, ohm: 1000 },
        { tC: 25, ohm: 2000 },
        { tC: 50, ohm: 4000 },
      ]),
    ],
    [
      'the same point twice',
      through([
        { tC: 0, ohm: 1000 },
        { tC: 0, ohm: 1000 },
        { tC: 50, ohm: 400 },
      ]),
    ],
    [
      'a negative resistance',
      through([
        { tC: 0, ohm: -1000 },
        { tC: 25, ohm: 500 },
        { tC: 50, ohm: 400 },
      ]),
    ],
    ['a B-value of zero', { form: 'beta', r0Ohm: 10000, t0C: 25, betaK: 0 } as const],
    ['a negative B-value', { form: 'beta', r0Ohm: 10000, t0C: 25, betaK: -3950 } as const],
  ])('is refused: %s', (_what, curve) => {
    expect(() => ntc({ kind: 'ntc', curve, validC: { low: 0, high: 50 } })).toThrow(RangeError);
  });

  test('is refused where it turns back inside its valid temperatures', () => {
    const curve: NtcCurve = { form: 'steinhart-hart', a: 2e-3, b: 3e-4, c: -1e-6 };
    expect(() => ntc({ kind: 'ntc', curve, validC: { low: -50, high: 150 } })).toThrow('does not reach');
    const law = ntc({ kind: 'ntc', curve, validC: { low: 60, high: 120 } });
    expect(law.at(resistanceOhm(steinhartHart(curve), 90), {}).value).toBeCloseTo(90, 9);
  });

  test('is refused at absolute zero', () => {
    expect(() =>
      ntc({ kind: 'ntc', curve: { form: 'beta', r0Ohm: 1e4, t0C: 25, betaK: 3950 }, validC: { low: -300, high: 0 } }),
    ).toThrow(RangeError);
  });
});
