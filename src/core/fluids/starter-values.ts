/**
 * Values to begin with while the data sheet of the fluid is not at hand: typical, check your fluid. Each says where it
 * comes from and carries an uncertainty that covers its kind, not one oil.
 */
import type { SingleFluidDescription } from './description.ts';

export interface StarterValue<T> {
  readonly value: T;
  readonly advice: 'typical, check your fluid';
  readonly source: string;
}

/**
 * Expansion of one lubricating oil about that of its group, 0.000 76 per K at 40 °C: handbooks give 0.000 63 to 0.000 80;
 * a rectangular distribution that reaches as far as the farther end.
 */
const U_EXPANSION_PER_K = 7.5e-5;

/**
 * Oil of the automatic-transmission type. Its speed of sound is good to some tens of metres per second only: a level
 * taken with it is good to two percent, until the speed is calibrated in the fluid.
 */
export const TYPICAL_TRANSMISSION_OIL: StarterValue<SingleFluidDescription> = {
  advice: 'typical, check your fluid',
  source:
    'Handbook ranges: density 820 to 890 kg/m³ at 15 °C; speed of sound of lubricating oils 1400 to 1480 m/s at 20 to ' +
    '25 °C, falling 2.8 to 3.9 m/s per kelvin (Kaye and Laby print, for comparison, kerosene 1315 m/s, −3.6 m/s per ' +
    'kelvin at 25 °C, and olive oil 1440 m/s, −2.8 m/s per kelvin at 22 °C). The 1700 m/s and more of some testing ' +
    'tables for motor oil disagree with measurements and are not used.',
  value: {
    kind: 'single',
    name: 'transmission oil (typical, check your fluid)',
    density: { kind: 'lubricating-oil', at15KgPerM3: 850, uKgPerM3: 20, uExpansionPerK: U_EXPANSION_PER_K },
    sound: {
      kind: 'linear',
      atC: 22.5,
      mPerS: 1440,
      uMPerS: 25,
      perK: -3.4,
      uPerK: 0.35,
      lowC: 0,
      highC: 100,
      source: 'typical of lubricating oils, check your fluid',
    },
  },
};

/** How far an oil's own expansion may lie from the group's when nothing better is known, 1/K. */
export const TYPICAL_U_EXPANSION_PER_K: StarterValue<number> = {
  advice: 'typical, check your fluid',
  source:
    'Handbook range of mineral and transmission oils, 0.000 63 to 0.000 80 per K, about the 0.000 76 of the group at 40 °C: ' +
    'rectangular, as far as the farther end',
  value: U_EXPANSION_PER_K,
};
