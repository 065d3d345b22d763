/** Amounts added or drained: by counting pulses of a flow meter, or by weighing. */
import { checkedAirDensity, FLUID_DENSITY_KG_PER_M3 } from './hydrostatic.ts';
import { checkedPositive, type Law, lawFrom } from './law.ts';

/** Pulses since the count began → L. */
export interface FlowPulsesDescription {
  readonly kind: 'flow-pulses';
  /** The meter's K-factor. */
  readonly pulsesPerLitre: number;
  readonly maxLitres: number;
}

/** kg as the scale shows them → L at the temperature that the density belongs to. */
export interface MassDescription {
  readonly kind: 'mass';
  /** About 1.2 at sea level corrects for buoyancy; 0 where the mass is already corrected. */
  readonly airDensityKgPerM3: number;
  readonly maxLitres: number;
}

/** Scales are adjusted with weights of this density by convention: OIML D 28 (2004). */
const WEIGHTS_KG_PER_M3 = 8000;
const LITRES_PER_M3 = 1000;

export function flowPulses({ pulsesPerLitre, maxLitres }: FlowPulsesDescription): Law {
  checkedPositive('pulses per litre', pulsesPerLitre);
  const valid = { low: 0, high: pulsesPerLitre * checkedPositive('the largest amount in litres', maxLitres) };
  return lawFrom({
    signalUnit: '{pulse}',
    unit: 'L',
    source: "the meter's K-factor",
    context: {},
    validSignal: () => valid,
    at: (pulses) => ({ value: pulses / pulsesPerLitre, derivative: 1 / pulsesPerLitre, partials: {} }),
  });
}

/** V = W (1 − ρ_air/8000)/(ρ − ρ_air), W being what a scale shows in air. */
export function mass({ airDensityKgPerM3, maxLitres }: MassDescription): Law {
  checkedPositive('the largest amount in litres', maxLitres);
  checkedAirDensity(airDensityKgPerM3);
  const factor = LITRES_PER_M3 * (1 - airDensityKgPerM3 / WEIGHTS_KG_PER_M3);
  return lawFrom({
    signalUnit: 'kg',
    unit: 'L',
    source: 'mass by density, weighed in air (OIML D 28:2004)',
    context: { densityKgPerM3: FLUID_DENSITY_KG_PER_M3 },
    validSignal: ({ densityKgPerM3 }) => ({
      low: 0,
      high: (maxLitres * (densityKgPerM3 - airDensityKgPerM3)) / factor,
    }),
    at(kg, { densityKgPerM3 }) {
      const derivative = factor / (densityKgPerM3 - airDensityKgPerM3);
      const value = derivative * kg;
      return { value, derivative, partials: { densityKgPerM3: -value / (densityKgPerM3 - airDensityKgPerM3) } };
    },
  });
}
