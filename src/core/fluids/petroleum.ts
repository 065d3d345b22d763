/**
 * Temperature and pressure volume correction of petroleum liquids: API MPMS chapter 11.1-2004, the same as ASTM D1250-04.
 * The standard works in °F and psi on a base of 60 °F, and so does this file; its constants belong to those units (those
 * per °C and for a base of 15 °C are of the 1980 edition and do not mix with them).
 */
import { ipts68 } from './its90.ts';

/** α₆₀ = (K0/ρ* + K1)/ρ* + K2 in 1/°F, densities in kg/m³. A known α₆₀ is K2 alone. */
export interface Coefficients {
  readonly k0: number;
  readonly k1: number;
  readonly k2: number;
}

/** Half-way shift of the base from ITS-90 to IPTS-68, °F, and the base of 60 °F on the older scale. */
const DELTA_60 = 0.01374979547;
const BASE_68F = 60.0068749;
const MOST_STEPS = 50;

export interface ThermalCorrection {
  readonly rhoStarKgPerM3: number;
  readonly alpha60PerF: number;
  readonly ctl: number;
  /** ∂ln CTL/∂t68, 1/°F, and its derivatives by t68 and by the base density. */
  readonly slopePerF: number;
  readonly curvaturePerF2: number;
  readonly slopePerFPerBase: number;
  /** ∂ln CTL/∂base density, m³/kg. */
  readonly perBase: number;
}

/** t on IPTS-68 in °F from °F on ITS-90. */
export function ipts68F(tF: number): number {
  return ipts68((tF - 32) / 1.8).value * 1.8 + 32;
}

/** Correction of volume for temperature, from 60 °F to `t68F`. */
export function thermalCorrection(baseKgPerM3: number, t68F: number, by: Coefficients): ThermalCorrection {
  const { rhoStar, perBase: rhoStarPerBase } = shiftedBase(baseKgPerM3, by);
  const alpha = alpha60(rhoStar, by);
  const alphaPerBase = alphaSlope(rhoStar, by) * rhoStarPerBase;
  const d = t68F - BASE_68F;
  return {
    rhoStarKgPerM3: rhoStar,
    alpha60PerF: alpha,
    ctl: Math.exp(-alpha * d * (1 + 0.8 * alpha * (d + DELTA_60))),
    slopePerF: -alpha * (1 + 0.8 * alpha * (2 * d + DELTA_60)),
    curvaturePerF2: -1.6 * alpha * alpha,
    slopePerFPerBase: -(1 + 1.6 * alpha * (2 * d + DELTA_60)) * alphaPerBase,
    perBase: -d * (1 + 1.6 * alpha * (d + DELTA_60)) * alphaPerBase,
  };
}

export interface Correction extends ThermalCorrection {
  readonly t68F: number;
  /** Scaled compressibility, 10⁻⁵/psi. */
  readonly fp: number;
  readonly cpl: number;
  readonly ctpl: number;
  readonly densityKgPerM3: number;
}

/** Density at `tF` (ITS-90) and `psig` gauge pressure from the density at 60 °F and none; pressure below none counts as none. */
export function fromBase(baseKgPerM3: number, tF: number, psig: number, by: Coefficients): Correction {
  const t68F = ipts68F(tF);
  const thermal = thermalCorrection(baseKgPerM3, t68F, by);
  const rho2 = thermal.rhoStarKgPerM3 * thermal.rhoStarKgPerM3;
  const fp = Math.exp(-1.9947 + 0.00013427 * t68F + (793920 + 2326 * t68F) / rho2);
  const cpl = 1 / (1 - 1e-5 * fp * Math.max(0, psig));
  const ctpl = thermal.ctl * cpl;
  return { ...thermal, t68F, fp, cpl, ctpl, densityKgPerM3: baseKgPerM3 * ctpl };
}

/** Density at 60 °F, kg/m³, of a liquid whose density at `tF` and `psig` was observed. Newton's method. */
export function toBase(observedKgPerM3: number, tF: number, psig: number, by: Coefficients): number {
  let base = observedKgPerM3;
  for (let step = 0; step < MOST_STEPS; step++) {
    const { densityKgPerM3, perBase } = fromBase(base, tF, psig, by);
    // The compressibility's own part in the slope is left out: it costs a step, not the answer.
    const change = (observedKgPerM3 - densityKgPerM3) / (densityKgPerM3 * (1 / base + perBase));
    base += change;
    if (Math.abs(change) <= 1e-13 * base) break;
  }
  return base;
}

function alpha60(rho: number, { k0, k1, k2 }: Coefficients): number {
  return (k0 / rho + k1) / rho + k2;
}

function alphaSlope(rho: number, { k0, k1 }: Coefficients): number {
  return -((2 * k0) / rho + k1) / (rho * rho);
}

/** ρ*: the density at 60 °F of the scale of 1968, with its slope over the density at 60 °F of ITS-90. */
function shiftedBase(rho: number, by: Coefficients): { rhoStar: number; perBase: number } {
  const { k0, k1, k2 } = by;
  const a = (DELTA_60 / 2) * alpha60(rho, by);
  const aSlope = (DELTA_60 / 2) * alphaSlope(rho, by);
  const over = 2 * k0 + k1 * rho;
  const under = k0 + (k1 + k2 * rho) * rho;
  const b = over / under;
  const bSlope = (k1 - b * (k1 + 2 * k2 * rho)) / under;
  const e = Math.exp(a * (1 + 0.8 * a)) - 1;
  const eSlope = (e + 1) * (1 + 1.6 * a) * aSlope;
  const f = 1 + a * (1 + 1.6 * a) * b;
  const fSlope = (1 + 3.2 * a) * aSlope * b + a * (1 + 1.6 * a) * bSlope;
  return { rhoStar: rho * (1 + e / f), perBase: 1 + e / f + rho * ((eSlope * f - e * fSlope) / (f * f)) };
}
