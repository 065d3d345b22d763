/**
 * Speed of sound in air, with its derivatives.
 *
 * Humid air: Cramer (1993), J. Acoust. Soc. Am. 93, 2510–2516, eq. 15 with Table III for 0 Hz, and its appendix for the
 * mole fraction of water vapour (Giacomo 1982). Stated to 300 ppm for 0 to 30 °C, 75 to 102 kPa, water up to 0.06 and
 * carbon dioxide up to 0.01 by mole fraction.
 * Dry rule: ISO 9613-1:1993, 343.2 m/s × √(T/293.15 K), for −20 to 50 °C; knows nothing of humidity.
 */
import type { Range } from './law.ts';
import { polynomial } from './polynomial.ts';

export interface SpeedInHumidAir {
  readonly mPerS: number;
  /** ∂c/∂t, m/s per K. */
  readonly perAirC: number;
  /** ∂c/∂h, m/s over the whole of relative humidity, 0 to 1. */
  readonly perRelativeHumidity: number;
  /** ∂c/∂p, m/s per kPa. */
  readonly perAirPressureKPa: number;
}

/** Where Cramer's equation holds. */
export const HUMID_AIR_RANGES: Readonly<Record<'airC' | 'relativeHumidity' | 'airPressureKPa', Range>> = {
  airC: { low: 0, high: 30 },
  relativeHumidity: { low: 0, high: 1 },
  airPressureKPa: { low: 75, high: 102 },
};
export const DRY_RULE_RANGE_C: Range = { low: -20, high: 50 };

const ZERO_C_K = 273.15;
const PA_PER_KPA = 1000;

// Table III, a0 to a15, by what each group multiplies.
const PLAIN = [331.5024, 0.603055, -0.000528];
const WATER = [51.471935, 0.1495874, -0.000782];
const PRESSURE = [-1.82e-7, 3.73e-8, -2.93e-10];
const CARBON = [-85.20931, -0.228525, 5.91e-5];
const WATER_SQUARED = -2.835149;
const PRESSURE_SQUARED = -2.15e-13;
const CARBON_SQUARED = 29.179762;
const ALL_THREE = 0.000486;

/** `relativeHumidity` and `carbonDioxide` (mole fraction) as fractions of 1. */
export function speedInHumidAir(
  airC: number,
  relativeHumidity: number,
  airPressureKPa: number,
  carbonDioxide: number,
): SpeedInHumidAir {
  const p = airPressureKPa * PA_PER_KPA;
  const water = waterFraction(airC, relativeHumidity, p);
  const plain = polynomial(PLAIN, airC);
  const byWater = polynomial(WATER, airC);
  const byPressure = polynomial(PRESSURE, airC);
  const byCarbon = polynomial(CARBON, airC);
  const x = water.value;
  const c = carbonDioxide;
  const perWater = byWater.value + 2 * WATER_SQUARED * x + ALL_THREE * p * c;
  return {
    mPerS:
      plain.value +
      byWater.value * x +
      byPressure.value * p +
      byCarbon.value * c +
      WATER_SQUARED * x * x +
      PRESSURE_SQUARED * p * p +
      CARBON_SQUARED * c * c +
      ALL_THREE * x * p * c,
    perAirC:
      plain.derivative +
      byWater.derivative * x +
      byPressure.derivative * p +
      byCarbon.derivative * c +
      perWater * water.perC,
    perRelativeHumidity: perWater * water.perHumidity,
    perAirPressureKPa:
      PA_PER_KPA * (byPressure.value + 2 * PRESSURE_SQUARED * p + ALL_THREE * x * c + perWater * water.perPa),
  };
}

/** m/s and m/s per K by the dry rule. */
export function speedInDryAir(airC: number): { readonly mPerS: number; readonly perAirC: number } {
  const mPerS = 343.2 * Math.sqrt((airC + ZERO_C_K) / 293.15);
  return { mPerS, perAirC: mPerS / (2 * (airC + ZERO_C_K)) };
}

/** Mole fraction h f psv / p: psv the saturation pressure, f the enhancement of saturation by the air's presence. */
function waterFraction(airC: number, h: number, p: number) {
  const t = airC + ZERO_C_K;
  const psv = Math.exp(1.2811805e-5 * t * t - 1.9509874e-2 * t + 34.04926034 - 6.3536311e3 / t);
  const psvPerK = psv * (2 * 1.2811805e-5 * t - 1.9509874e-2 + 6.3536311e3 / (t * t));
  const f = 1.00062 + 3.14e-8 * p + 5.6e-7 * airC * airC;
  return {
    value: (h * f * psv) / p,
    perC: (h * (f * psvPerK + 2 * 5.6e-7 * airC * psv)) / p,
    perHumidity: (f * psv) / p,
    perPa: (h * psv * 3.14e-8) / p - (h * f * psv) / (p * p),
  };
}
