import { describe, expect, test } from 'vitest';
import { fluidFrom } from '../../../src/core/fluids/fluid.ts';
import { LUBRICATING_OIL } from '../../../src/core/fluids/lubricating-oil.ts';
import { fromBase, ipts68F, thermalCorrection, toBase } from '../../../src/core/fluids/petroleum.ts';
import { FACTOR_2004, FROM_BASE, TABLE_54D, TO_BASE, WRONG_CONSTANTS } from '../../reference/petroleum.ts';
import { slopeOf } from './slope-of.ts';

/** Relative difference that the examples must hold; the way back stops at 1e-6 kg/m³ in the standard itself. */
const AGREE = 1e-11;
const AGREE_BACK = 1e-8;
/** Figures printed with so many digits that the smallest terms of the formula show. */
const AGREE_FINE = 1e-12;
/** The standard prints this many digits after the point: half of the last is its own rounding. */
const ALPHA_ROUNDING = 0.5e-12;

function oil(at15KgPerM3: number) {
  return fluidFrom({
    kind: 'single',
    name: 'oil',
    density: { kind: 'lubricating-oil', at15KgPerM3, uKgPerM3: 2, uExpansionPerK: 5e-5 },
    sound: null,
  });
}

describe('the petroleum volume correction', () => {
  test('has all worked examples at hand', () => {
    expect(FROM_BASE).toHaveLength(9);
    expect(TO_BASE).toHaveLength(5);
    expect(FROM_BASE.filter(({ liquid }) => liquid === 'lubricating oils')).toHaveLength(1);
  });

  test.each(FROM_BASE)('gives every figure of $source ($liquid)', ({ by, fromKgPerM3, tF, psig, printed }) => {
    const found = fromBase(fromKgPerM3, tF, psig, by) as unknown as Record<string, number>;
    expect(Object.keys(printed).length).toBeGreaterThanOrEqual(5);
    for (const [name, value] of Object.entries(printed)) {
      const agree = name === 'rhoStarKgPerM3' ? AGREE_FINE : AGREE;
      const within = Math.max(agree * Math.abs(value), name === 'alpha60PerF' ? ALPHA_ROUNDING : 0);
      expect(Math.abs((found[name] as number) - value), name).toBeLessThanOrEqual(within);
    }
  });

  test.each(TO_BASE)('goes back to the base as $source does ($liquid)', ({ by, fromKgPerM3, tF, psig, printed }) => {
    const base = toBase(fromKgPerM3, tF, psig, by);
    const found = { ...fromBase(base, tF, psig, by), baseKgPerM3: base } as unknown as Record<string, number>;
    for (const [name, value] of Object.entries(printed))
      expect(Math.abs((found[name] as number) / value - 1), name).toBeLessThanOrEqual(AGREE_BACK);
    expect(Math.abs((found.densityKgPerM3 as number) / fromKgPerM3 - 1)).toBeLessThan(1e-12);
  });

  test('uses the constant that the standard gives for lubricating oils', () => {
    const example = FROM_BASE.find(({ liquid }) => liquid === 'lubricating oils');
    expect(LUBRICATING_OIL).toEqual(example?.by);
    for (const { by, why } of WRONG_CONSTANTS) expect(LUBRICATING_OIL, why).not.toEqual(by);
  });

  test('would show a constant of another unit or group at once', () => {
    const example = FROM_BASE.find(({ liquid }) => liquid === 'lubricating oils') as (typeof FROM_BASE)[0];
    for (const { by } of WRONG_CONSTANTS) {
      const { ctl } = fromBase(example.fromKgPerM3, example.tF, example.psig, by);
      expect(Math.abs(ctl - (example.printed.ctl as number))).toBeGreaterThan(1e-3);
    }
  });

  test('puts 60 °F of today a little above 60 °F of 1968', () => {
    expect(ipts68F(60)).toBeCloseTo(60.0068749, 6);
  });

  test.each(FROM_BASE)('has derivatives that agree with differences, $source', ({ by, fromKgPerM3, tF }) => {
    const t68 = ipts68F(tF);
    const of = (base: number, t: number) => thermalCorrection(base, t, by);
    const here = of(fromKgPerM3, t68);
    const bySlope = slopeOf((t) => Math.log(of(fromKgPerM3, t).ctl), t68, 0.05);
    expect(Math.abs(here.slopePerF / bySlope - 1)).toBeLessThan(1e-8);
    const byCurve = slopeOf((t) => of(fromKgPerM3, t).slopePerF, t68, 0.05);
    expect(Math.abs(here.curvaturePerF2 - byCurve)).toBeLessThan(1e-13);
    const byBase = slopeOf((base) => Math.log(of(base, t68).ctl), fromKgPerM3, 0.05);
    expect(Math.abs(here.perBase - byBase)).toBeLessThan(1e-11);
    const byBoth = slopeOf((base) => of(base, t68).slopePerF, fromKgPerM3, 0.05);
    expect(Math.abs(here.slopePerFPerBase - byBoth)).toBeLessThan(1e-13);
  });
});

describe('a lubricating oil from its density at 15 °C', () => {
  test('has that density at 15 °C', () => {
    for (const at15 of [805, 830, 850, 870, 900, 1100])
      expect(Math.abs(oil(at15).density(15).value - at15)).toBeLessThan(1e-9);
  });

  test.each(FACTOR_2004)('has the factor of the 2004 edition at $tC °C', ({ tC, vcf }) => {
    expect(Math.abs(oil(850).density(tC).value / 850 - vcf)).toBeLessThanOrEqual(0.6e-7);
  });

  test('agrees with the independent 1980 edition as the two editions agree with each other', () => {
    expect(TABLE_54D.length).toBe(27);
    for (const { at15KgPerM3, tC, vcf, kgPerM3 } of TABLE_54D) {
      const density = oil(at15KgPerM3).density(tC);
      expect(Math.abs(density.value / at15KgPerM3 - vcf), `${at15KgPerM3} at ${tC} °C`).toBeLessThan(6e-6);
      expect(Math.abs(density.value - kgPerM3)).toBeLessThan(0.01);
    }
  });

  test('expands by about seven ten-thousandths per kelvin', () => {
    const { value, u } = oil(850).expansion(40);
    expect(value).toBeGreaterThan(7.3e-4);
    expect(value).toBeLessThan(7.7e-4);
    expect(u).toBeGreaterThan(5e-5);
    expect(u).toBeLessThan(5.1e-5);
  });

  test('is least sure of its density far from 15 °C, where its own expansion tells', () => {
    const fluid = oil(850);
    expect(fluid.density(15).u).toBeCloseTo(2, 6);
    expect(fluid.density(80).u).toBeCloseTo(Math.hypot(2, 5e-5 * 65 * 808.7), 1);
  });

  test('is flagged outside the densities and the temperatures of the standard', () => {
    expect(oil(790).density(20).inRange).toBe(false);
    expect(oil(1200).density(20).inRange).toBe(false);
    expect(oil(850).density(20).inRange).toBe(true);
    expect(oil(850).density(-50).inRange).toBe(true);
    expect(oil(850).density(150).inRange).toBe(true);
    expect(oil(850).density(-50.001).inRange).toBe(false);
    expect(oil(850).density(150.001).inRange).toBe(false);
  });

  test('refuses a density that is none', () => {
    expect(() => oil(0)).toThrow('the density at 15 °C must be above 0 kg/m³');
    expect(() => oil(Number.NaN)).toThrow(RangeError);
  });
});
