/** What a fluid does with temperature. Temperatures in °C. */
export interface Fluid {
  /** kg/m³ at 15 °C. */
  readonly density15: number;
  readonly heatCapacityJPerKgK: number;
  /** m/s at 20 °C. */
  readonly sound20: number;
  /** Change of the speed of sound, m/s per K. */
  readonly soundPerK: number;
}

/**
 * A mineral gear oil of no particular make.
 * Heat capacity at 40 °C for this density: (1.685 + 0.0034 t) / √d kJ/(kg·K) = 1.95 (Cragoe, Thermal properties of
 * petroleum products, NBS Miscellaneous Publication 97, 1929).
 * Sound: 1440 m/s for olive oil at 22 °C; −2.8 to −4.1 m/s per K for olive oil, kerosene and castor oil (Kaye and
 * Laby, Tables of Physical and Chemical Constants). −3.5 lies between them.
 */
export const GEAR_OIL: Fluid = { density15: 870, heatCapacityJPerKgK: 1950, sound20: 1440, soundPerK: -3.5 };

/** K1 of the lubricating oil group, 0.34878 per °F × 1.8 (API MPMS 11.1 / ASTM D1250); K0 and K2 are zero. */
const K1_LUBRICATING_OIL = 0.34878 * 1.8;

/** Thermal expansion at 15 °C, 1/K: α = K1 / ρ (API MPMS 11.1 / ASTM D1250, lubricating oils). */
export function expansionPerK(fluid: Fluid): number {
  return K1_LUBRICATING_OIL / fluid.density15;
}

/** kg/m³: ρ = ρ15 · exp(−α Δt (1 + 0.8 α Δt)), Δt from 15 °C (API MPMS 11.1 / ASTM D1250). */
export function densityKgPerM3(fluid: Fluid, temperatureC: number): number {
  const x = expansionPerK(fluid) * (temperatureC - 15);
  return fluid.density15 * Math.exp(-x * (1 + 0.8 * x));
}

/** m/s, falling in a straight line with temperature. */
export function soundMPerS(fluid: Fluid, temperatureC: number): number {
  return fluid.sound20 + fluid.soundPerK * (temperatureC - 20);
}
