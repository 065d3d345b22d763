import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { boilingPoint, vapourPressure } from '../../../src/core/fluids/boiling.ts';
import { geopotential, standardPressure } from '../../../src/core/fluids/standard-atmosphere.ts';
import {
  BOILING_POINTS,
  IF97_TABLE_35,
  IF97_TABLE_36,
  NORMAL_BOILING_C,
  STANDARD_PRESSURES,
  STANDARD_PRESSURES_GEOMETRIC,
} from '../../reference/water.ts';
import { slopeOf } from './slope-of.ts';

const seed = Number(process.env.SEED ?? 4711);

describe('boiling water (IF97)', () => {
  test.each(IF97_TABLE_35)('has the printed vapour pressure at $kelvin K', ({ kelvin, megapascal }) => {
    expect(Math.abs(vapourPressure(kelvin - 273.15).value / 1000 / megapascal - 1)).toBeLessThanOrEqual(2e-9);
  });

  test.each(IF97_TABLE_36)('boils at the printed temperature under $megapascal MPa', ({ megapascal, kelvin }) => {
    expect(Math.abs(boilingPoint(megapascal * 1000).value + 273.15 - kelvin)).toBeLessThanOrEqual(5.1e-7);
  });

  test.each(BOILING_POINTS)('boils at $tC °C under $kPa kPa', ({ kPa, tC }) => {
    expect(Math.abs(boilingPoint(kPa).value - tC)).toBeLessThanOrEqual(2e-5);
  });

  test('does not boil at 100 °C under one atmosphere', () => {
    expect(Math.abs(boilingPoint(101.325).value - NORMAL_BOILING_C)).toBeLessThanOrEqual(1e-3);
  });

  test('ends at the critical point', () => {
    expect(boilingPoint(22064).inRange).toBe(true);
    expect(boilingPoint(22064.1)).toMatchObject({ inRange: false, derivative: 0 });
    expect(boilingPoint(22064).value).toBeCloseTo(373.946, 2);
    expect(boilingPoint(22064.1).value).toBe(boilingPoint(22064).value);
  });

  test('has derivatives that agree with differences', () => {
    for (const kPa of [5, 60, 101.325, 1000, 15000]) {
      const numeric = slopeOf((p) => boilingPoint(p).value, kPa, kPa * 1e-3);
      expect(Math.abs(boilingPoint(kPa).derivative / numeric - 1), `${kPa} kPa`).toBeLessThan(1e-8);
    }
    for (const tC of [1, 50, 100, 300]) {
      const numeric = slopeOf((t) => vapourPressure(t).value, tC, 0.05);
      expect(Math.abs(vapourPressure(tC).derivative / numeric - 1), `${tC} °C`).toBeLessThan(1e-8);
    }
  });

  test(`rises with pressure, and the two equations undo each other (seed ${seed})`, () => {
    fc.assert(
      fc.property(fc.double({ min: 0.1, max: 373, noNaN: true }), (tC) => {
        const pressure = vapourPressure(tC);
        expect(pressure.inRange && pressure.derivative > 0).toBe(true);
        expect(Math.abs(boilingPoint(pressure.value).value - tC)).toBeLessThan(1e-6);
      }),
      { seed },
    );
  });

  test(`any finite number gives finite numbers, flagged outside (seed ${seed})`, () => {
    fc.assert(
      fc.property(fc.double({ noNaN: true, noDefaultInfinity: true }), (x) => {
        const boiling = boilingPoint(x);
        expect(Number.isFinite(boiling.value) && Number.isFinite(boiling.derivative)).toBe(true);
        expect(boiling.inRange).toBe(x >= vapourPressure(0).value && x <= 22064);
        const vapour = vapourPressure(x);
        expect(Number.isFinite(vapour.value) && Number.isFinite(vapour.derivative)).toBe(true);
        expect(vapour.inRange).toBe(x >= 0 && x <= 373.946);
        const air = standardPressure(x);
        expect(Number.isFinite(air.value) && Number.isFinite(air.derivative)).toBe(true);
        expect(air.inRange).toBe(x >= -2000 && x <= 11000);
      }),
      { seed },
    );
  });
});

describe('the standard atmosphere', () => {
  test.each(STANDARD_PRESSURES)('has $pascal Pa at $geopotentialM m', ({ geopotentialM, pascal }) => {
    expect(Math.abs(standardPressure(geopotentialM).value * 1000 - pascal)).toBeLessThanOrEqual(0.06);
  });

  test.each(STANDARD_PRESSURES_GEOMETRIC)('has $pascal Pa $geometricM m up on a map', ({ geometricM, pascal }) => {
    expect(Math.abs(standardPressure(geopotential(geometricM)).value * 1000 - pascal)).toBeLessThanOrEqual(0.06);
  });

  test('tells the two altitudes apart', () => {
    const apart = standardPressure(geopotential(1000)).value - standardPressure(1000).value;
    expect(apart * 1000).toBeGreaterThan(1.5);
    expect(apart * 1000).toBeLessThan(2);
  });

  test('has a derivative that agrees with differences, and weather for its uncertainty', () => {
    for (const m of [-500, 0, 1200, 8000]) {
      const numeric = slopeOf((x) => standardPressure(x).value, m, 1);
      expect(Math.abs(standardPressure(m).derivative / numeric - 1)).toBeLessThan(1e-8);
    }
    expect(standardPressure(300).u).toBeGreaterThan(1);
  });
});
