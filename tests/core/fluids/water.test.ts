import { describe, expect, test } from 'vitest';
import { fluidFrom } from '../../../src/core/fluids/fluid.ts';
import { ipts68 } from '../../../src/core/fluids/its90.ts';
import { kell, tanaka } from '../../../src/core/fluids/water.ts';
import {
  FASTEST_SOUND,
  GREENSPAN_AND_TSCHIEGG,
  IAPWS_95,
  KAYE_AND_LABY_WATER,
  KELL_AS_PRINTED,
  MARCZAK_SPEEDS,
  SOUND_SLOPE_AT_20C,
  TANAKA_TABLE,
} from '../../reference/water.ts';
import { WATER } from './oils.ts';

const water = fluidFrom(WATER);
const speed = (tC: number) => water.speedOfSound(tC)?.value as number;

describe('density of water', () => {
  test.each(TANAKA_TABLE)('is Tanaka’s at $tC °C', ({ tC, kgPerM3 }) => {
    expect(Math.abs(tanaka(tC).value - kgPerM3)).toBeLessThanOrEqual(6e-5);
    expect(water.density(tC).value).toBe(tanaka(tC).value);
  });

  test.each(KELL_AS_PRINTED)('is Kell’s at $t68C °C of 1968, without the swapped digits', ({ t68C, kgPerM3 }) => {
    const t90C = t68C - (ipts68(t68C).value - t68C);
    expect(Math.abs(kell(t90C).value - kgPerM3)).toBeLessThanOrEqual(6e-5);
  });

  test.each(IAPWS_95)('is within 0.003 kg/m³ of IAPWS-95 at $tC °C', ({ tC, kgPerM3 }) => {
    expect(Math.abs(water.density(tC).value - kgPerM3)).toBeLessThanOrEqual(0.003);
  });

  test('has no step where one formula hands over to the other', () => {
    expect(Math.abs(water.density(40).value - water.density(40 + 1e-9).value)).toBeLessThan(1e-8);
    expect(Math.abs(water.density(40).derivative / water.density(40 + 1e-9).derivative - 1)).toBeLessThan(5e-4);
  });

  test('is greatest near 4 °C, where the expansion changes sign', () => {
    expect(water.expansion(3.9).value).toBeLessThan(0);
    expect(water.expansion(4.1).value).toBeGreaterThan(0);
  });

  test('carries what salts and air may do on top of the formula', () => {
    expect(water.density(20).u).toBeCloseTo(0.5, 4);
  });

  test('is flagged below 0 and above 100 °C', () => {
    for (const tC of [0, 100]) expect(water.density(tC).inRange).toBe(true);
    for (const tC of [-0.01, 100.01]) expect(water.density(tC).inRange).toBe(false);
  });
});

describe('speed of sound in water', () => {
  test.each(MARCZAK_SPEEDS)('is Marczak’s at $tC °C', ({ tC, mPerS }) => {
    expect(Math.abs(speed(tC) - mPerS)).toBeLessThanOrEqual(6e-4);
  });

  test.each(IAPWS_95.filter(({ tC }) => tC <= 95))('is within 0.07 m/s of IAPWS-95 at $tC °C', ({ tC, mPerS }) => {
    expect(Math.abs(speed(tC) - mPerS)).toBeLessThanOrEqual(0.07);
  });

  test('agrees with two older tables within their rounding', () => {
    expect(Math.abs(speed(KAYE_AND_LABY_WATER.tC) - KAYE_AND_LABY_WATER.mPerS)).toBeLessThan(0.1);
    for (const { tC, mPerS } of GREENSPAN_AND_TSCHIEGG) expect(Math.abs(speed(tC) - mPerS)).toBeLessThan(1.25);
  });

  test('is greatest at 74 °C and rises by 3 m/s per kelvin at 20 °C', () => {
    expect(Math.abs(water.speedOfSound(FASTEST_SOUND.tC)?.derivative as number)).toBeLessThan(2e-3);
    expect(speed(FASTEST_SOUND.tC)).toBeCloseTo(FASTEST_SOUND.mPerS, 2);
    expect(water.speedOfSound(20)?.derivative).toBeCloseTo(SOUND_SLOPE_AT_20C, 3);
  });

  test('is flagged outside 0 to 95 °C', () => {
    expect(water.speedOfSound(95)?.inRange).toBe(true);
    expect(water.speedOfSound(95.01)?.inRange).toBe(false);
  });
});
