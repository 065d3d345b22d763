import type { CompensationDescription } from './description.ts';

export interface Compensated {
  /** Level at the reference temperature. */
  readonly mm: number;
  /** ∂mm/∂temperature, mm/K. */
  readonly perK: number;
  /** ∂mm/∂slope, in K: how far from the reference the level was taken. */
  readonly perSlope: number;
}

/** Brings a level to the reference temperature. */
export function compensate(
  levelMm: number,
  temperatureC: number,
  referenceC: number,
  by: CompensationDescription,
): Compensated {
  const awayK = temperatureC - referenceC;
  return { mm: levelMm - by.mmPerK * awayK, perK: -by.mmPerK, perSlope: -awayK };
}
