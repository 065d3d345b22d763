/** Density of lubricating oils from their density at 15 °C: API MPMS 11.1-2004 (ASTM D1250-04), lubricating-oil constants. */
import type { DensityDescription } from './description.ts';
import { ipts68 } from './its90.ts';
import { type Coefficients, thermalCorrection, toBase } from './petroleum.ts';
import type { Curve } from './property.ts';

/** Constants of the group, per °F. */
export const LUBRICATING_OIL: Coefficients = { k0: 0, k1: 0.34878, k2: 0 };
/** What the standard covers: −58 to 302 °F, and densities at 60 °F. */
const LOW_C = -50;
const HIGH_C = 150;
const BASE_LOW_KG_PER_M3 = 800.9;
const BASE_HIGH_KG_PER_M3 = 1163.5;
const SHEET_C = 15;
const SHEET_F = 59;

/** The curve of one oil; densities in kg/m³, slopes per K. */
export function lubricatingOilDensity(oil: Extract<DensityDescription, { kind: 'lubricating-oil' }>): Curve {
  if (!(oil.at15KgPerM3 > 0)) throw new RangeError('the density at 15 °C must be above 0 kg/m³');
  const base = toBase(oil.at15KgPerM3, SHEET_F, 0, LUBRICATING_OIL);
  const basePerSheet = 1 / at(base, SHEET_C).perBase;
  return {
    lowC: LOW_C,
    highC: HIGH_C,
    source: 'API MPMS 11.1-2004 (ASTM D1250-04), lubricating oils, from the density at 15 °C',
    covered: base >= BASE_LOW_KG_PER_M3 && base <= BASE_HIGH_KG_PER_M3,
    at(tC) {
      const { value, slope, curvature, perBase, slopePerBase } = at(base, tC);
      const awayK = tC - SHEET_C;
      return {
        value,
        slope,
        curvature,
        constants: [
          {
            name: 'density at 15 °C',
            u: oil.uKgPerM3,
            perUnit: perBase * basePerSheet,
            slopePerUnit: slopePerBase * basePerSheet,
          },
          {
            // An oil that expands by b more than its group: density × exp(−b (t − 15 °C)).
            name: 'expansion of this oil',
            u: oil.uExpansionPerK,
            perUnit: -awayK * value,
            slopePerUnit: -value - awayK * slope,
          },
        ],
      };
    },
  };
}

function at(base: number, tC: number) {
  const t68 = ipts68(tC);
  const by = thermalCorrection(base, t68.value * 1.8 + 32, LUBRICATING_OIL);
  const value = base * by.ctl;
  const sF = 1.8 * t68.slope;
  const relative = by.slopePerF * sF;
  const perBase = by.ctl * (1 + base * by.perBase);
  return {
    value,
    slope: value * relative,
    curvature: value * (relative * relative + by.curvaturePerF2 * sF * sF + by.slopePerF * 1.8 * t68.curvature),
    perBase,
    slopePerBase: perBase * relative + value * by.slopePerFPerBase * sF,
  };
}
