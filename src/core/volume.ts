/** Litres in the vessel at a level as measured, with the walls as warm as the fluid. */

import { standing } from './compensation/compensate.ts';
import type { BenchDescription } from './description.ts';
import { vesselOf } from './vessels/vessel.ts';

export interface Volume {
  readonly litres: number;
  readonly perMm: number;
  /** Standard uncertainty from the vessel itself. */
  readonly uVesselL: number;
}

/** Null without a vessel, and outside what is known of it. */
export function volumeAt(
  { vessel }: Pick<BenchDescription, 'vessel'>,
  levelMm: number,
  temperatureC: number,
): Volume | null {
  if (vessel === null) return null;
  const upright = standing({ vessel }, levelMm);
  const { value, derivative, perLinear, inRange } = vesselOf(vessel).litresAt(upright.mm, temperatureC);
  if (!inRange || !upright.inRange) return null;
  const strapped = vessel.uVolumeShare * value;
  const grown = perLinear * (vessel.wall?.uLinearPerK ?? 0);
  return {
    litres: value,
    perMm: derivative * upright.perLevel,
    uVesselL: Math.sqrt(strapped * strapped + grown * grown),
  };
}
