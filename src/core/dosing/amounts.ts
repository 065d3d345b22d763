/**
 * Amounts poured in or caught, by volume or by weight, brought from the temperature at which they were measured to another
 * one. What is conserved is mass: V(to) = m/ρ(to). Amounts L or kg, temperatures °C.
 */
import type { Fluid } from '../fluids/fluid.ts';
import type { Constant, Property } from '../fluids/property.ts';
import { mass } from '../laws/amounts.ts';

/** How an amount is told: litres of the fluid as warm as it is, or kilograms as a scale in air shows them. */
export type Gauge = { readonly kind: 'volume' } | { readonly kind: 'mass'; readonly airDensityKgPerM3: number };

/** A jug, a flow meter or a scale. Amounts in its unit: L for volume, kg for mass. */
export interface Measure {
  readonly gauge: Gauge;
  /** What it can be poured to. */
  readonly step: number;
  /** Standard uncertainty as a share of the amount, the same in every dose made with it. */
  readonly uShare: number;
  /** Standard uncertainty of each dose by itself. */
  readonly uEach: number;
}

export interface PerUnit {
  readonly value: number;
  /** ∂value/∂(temperature at which it was measured), per K. */
  readonly perFromC: number;
  readonly perToC: number;
  /** Constants of the density; an error common to both temperatures is one constant. */
  readonly constants: readonly Constant[];
  readonly inRange: boolean;
}

const LITRES_PER_M3 = 1000;
/** A scale that shows kilograms has no largest amount here. */
const ANY = 1e6;

export function unitOf({ kind }: Gauge): 'L' | 'kg' {
  return kind === 'volume' ? 'L' : 'kg';
}

/** True kilograms in one unit of what is shown, the fluid at `tC`. */
export function kgPerUnit(fluid: Fluid, gauge: Gauge, tC: number): PerUnit {
  const rho = fluid.density(tC);
  const { value, perRho } = kgAt(gauge, rho.value);
  return {
    value,
    perFromC: perRho * rho.derivative,
    perToC: 0,
    constants: rho.constants.map((one) => ({ ...one, perUnit: perRho * one.perUnit })),
    inRange: rho.inRange,
  };
}

/** Litres at `toC` in one unit measured at `fromC`. */
export function litresPerUnit(fluid: Fluid, gauge: Gauge, fromC: number, toC: number): PerUnit {
  const kg = kgPerUnit(fluid, gauge, fromC);
  const to = fluid.density(toC);
  const value = (LITRES_PER_M3 * kg.value) / to.value;
  return {
    value,
    perFromC: (LITRES_PER_M3 * kg.perFromC) / to.value,
    perToC: (-value * to.derivative) / to.value,
    constants: kg.constants.map((one, i) => ({
      ...one,
      perUnit: (LITRES_PER_M3 * one.perUnit - value * perUnitOf(to, i)) / to.value,
    })),
    inRange: kg.inRange && to.inRange,
  };
}

function perUnitOf({ constants }: Property, i: number): number {
  return constants[i]?.perUnit ?? 0;
}

/** kg for one unit, and its derivative by the density. Weighing in air: the law of `amounts.ts`. */
function kgAt(gauge: Gauge, rho: number): { readonly value: number; readonly perRho: number } {
  if (gauge.kind === 'volume') return { value: rho / LITRES_PER_M3, perRho: 1 / LITRES_PER_M3 };
  const { airDensityKgPerM3 } = gauge;
  const law = mass({ kind: 'mass', airDensityKgPerM3, maxLitres: ANY });
  const litres = law.at(1, { densityKgPerM3: rho });
  const perRho = litres.value + rho * (litres.partials.densityKgPerM3 ?? 0);
  return { value: (rho * litres.value) / LITRES_PER_M3, perRho: perRho / LITRES_PER_M3 };
}
