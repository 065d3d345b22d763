/**
 * Level from the pressure of the fluid above a sensor that is vented to the air:
 *   level = zero + p / ((ρ − ρ_air) g)
 * The air column between surface and sensor presses on the vent too, which is why it is subtracted.
 */
import { checkedRange, type Law, lawFrom, type Range } from './law.ts';

/** kPa → mm, needs the density of the fluid and the local acceleration of free fall. */
export interface HydrostaticDescription {
  readonly kind: 'hydrostatic';
  /** Height of the sensor's diaphragm above the zero of the level. */
  readonly sensorMm: number;
  /** About 1.2 at sea level; 0 for a sealed differential sensor with an evacuated reference line. */
  readonly airDensityKgPerM3: number;
  readonly validMm: Range;
}

/** From light fuels to brines. */
export const FLUID_DENSITY_KG_PER_M3: Range = { low: 500, high: 2000 };
const GRAVITY_M_PER_S2: Range = { low: 9.74, high: 9.85 };
const MM_PA_PER_M_KPA = 1e6;

export function hydrostatic({ sensorMm, airDensityKgPerM3, validMm }: HydrostaticDescription): Law {
  checkedRange('the levels that the sensor can see', validMm);
  checkedAirDensity(airDensityKgPerM3);
  return lawFrom({
    signalUnit: 'kPa',
    unit: 'mm',
    source: 'hydrostatic pressure',
    context: { densityKgPerM3: FLUID_DENSITY_KG_PER_M3, gravityMPerS2: GRAVITY_M_PER_S2 },
    validSignal({ densityKgPerM3, gravityMPerS2 }) {
      const kPaPerMm = ((densityKgPerM3 - airDensityKgPerM3) * gravityMPerS2) / MM_PA_PER_M_KPA;
      return { low: (validMm.low - sensorMm) * kPaPerMm, high: (validMm.high - sensorMm) * kPaPerMm };
    },
    at(kPa, { densityKgPerM3, gravityMPerS2 }) {
      const heavier = densityKgPerM3 - airDensityKgPerM3;
      const derivative = MM_PA_PER_M_KPA / (heavier * gravityMPerS2);
      const above = derivative * kPa;
      return {
        value: sensorMm + above,
        derivative,
        partials: { densityKgPerM3: -above / heavier, gravityMPerS2: -above / gravityMPerS2 },
      };
    },
  });
}

export function checkedAirDensity(kgPerM3: number): void {
  if (!(kgPerM3 >= 0 && kgPerM3 <= 2))
    throw new RangeError(`the density of air must lie from 0 to 2 kg/m³, not at ${kgPerM3}`);
}
