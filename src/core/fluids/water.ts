/**
 * Water at atmospheric pressure. Density: Tanaka, Girard, Davis, Peuto and Bignell (2001), Metrologia 38, 301–309, from 0
 * to 40 °C; above, the curve of Kell (1975), J. Chem. Eng. Data 20, 97–105, whose temperatures are of IPTS-68, carries on
 * from Tanaka's value at 40 °C. Speed of sound: Marczak (1997), J. Acoust. Soc. Am. 102, 2776–2779.
 */
import { ipts68 } from './its90.ts';
import type { Curve } from './property.ts';

const JOIN_C = 40;
const DENSITY_HIGH_C = 100;
const SOUND_HIGH_C = 95;
/** Against IAPWS-95 both stay within three times this. */
const U_FORMULA_KG_PER_M3 = 0.001;
const U_FORMULA_M_PER_S = 0.04;

const TANAKA = { a1: -3.983035, a2: 301.797, a3: 522528.9, a4: 69.34881, a5: 999.97495 };
/** The denominator's digits are 1687985: a copy with 1689785 is about and errs by 0.3 kg/m³ at 20 °C. */
const KELL_OVER = [999.83952, 16.945176, -7.9870401e-3, -46.170461e-6, 105.56302e-9, -280.54253e-12];
const KELL_UNDER = [1, 16.87985e-3];
const MARCZAK = [1402.385, 5.038813, -5.799136e-2, 3.287156e-4, -1.398845e-6, 2.78786e-9];

interface Jet {
  readonly value: number;
  readonly slope: number;
  readonly curvature: number;
}

/** kg/m³; `uKgPerM3` is what salts and air may do. */
export function waterDensity(uKgPerM3: number): Curve {
  const scale = tanaka(JOIN_C).value / kell(JOIN_C).value;
  const u = Math.sqrt(uKgPerM3 * uKgPerM3 + U_FORMULA_KG_PER_M3 * U_FORMULA_KG_PER_M3);
  return {
    lowC: 0,
    highC: DENSITY_HIGH_C,
    source: 'Tanaka et al. 2001 to 40 °C, Kell 1975 above',
    covered: true,
    at(tC) {
      const jet = tC <= JOIN_C ? tanaka(tC) : scaled(kell(tC), scale);
      return { ...jet, constants: [{ name: 'density of the water', u, perUnit: 1, slopePerUnit: 0 }] };
    },
  };
}

/** m/s; `uMPerS` is what salts and air may do. */
export function waterSound(uMPerS: number): Curve {
  const u = Math.sqrt(uMPerS * uMPerS + U_FORMULA_M_PER_S * U_FORMULA_M_PER_S);
  return {
    lowC: 0,
    highC: SOUND_HIGH_C,
    source: 'Marczak 1997',
    covered: true,
    at(tC) {
      return {
        ...polynomial(MARCZAK, tC),
        constants: [{ name: 'speed of sound of the water', u, perUnit: 1, slopePerUnit: 0 }],
      };
    },
  };
}

/** Tanaka's formula alone, 0 to 40 °C. */
export function tanaka(tC: number): Jet {
  const { a1, a2, a3, a4, a5 } = TANAKA;
  const p = tC + a1;
  const q = tC + a2;
  const over = { value: p * p * q, slope: 2 * p * q + p * p, curvature: 2 * q + 4 * p };
  const under = { value: a3 * (tC + a4), slope: a3, curvature: 0 };
  const ratio = quotient(over, under);
  return { value: a5 * (1 - ratio.value), slope: -a5 * ratio.slope, curvature: -a5 * ratio.curvature };
}

/** Kell's formula as published, with its temperature brought to the scale of 1968. */
export function kell(tC: number): Jet {
  const t68 = ipts68(tC);
  const y = quotient(polynomial(KELL_OVER, t68.value), polynomial(KELL_UNDER, t68.value));
  return {
    value: y.value,
    slope: y.slope * t68.slope,
    curvature: y.curvature * t68.slope * t68.slope + y.slope * t68.curvature,
  };
}

function polynomial(coefficients: readonly number[], x: number): Jet {
  let value = 0;
  let slope = 0;
  let curvature = 0;
  for (let i = coefficients.length - 1; i >= 0; i--) {
    curvature = curvature * x + 2 * slope;
    slope = slope * x + value;
    value = value * x + (coefficients[i] as number);
  }
  return { value, slope, curvature };
}

function quotient(over: Jet, under: Jet): Jet {
  const value = over.value / under.value;
  const slope = (over.slope - value * under.slope) / under.value;
  return {
    value,
    slope,
    curvature: (over.curvature - 2 * slope * under.slope - value * under.curvature) / under.value,
  };
}

function scaled(jet: Jet, by: number): Jet {
  return { value: jet.value * by, slope: jet.slope * by, curvature: jet.curvature * by };
}
