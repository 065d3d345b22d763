/**
 * What a fluid is, as plain data: how its density and its speed of sound follow from temperature. Temperatures °C,
 * densities kg/m³, speeds m/s; a name with `u` in front is a standard uncertainty of the quantity that follows it.
 */

export type FluidDescription = SingleFluidDescription | MixtureDescription;

export interface SingleFluidDescription {
  readonly kind: 'single';
  readonly name: string;
  readonly density: DensityDescription;
  /** Null where no echo is timed in this fluid. */
  readonly sound: SoundDescription | null;
}

/** What is in the vessel after part of an old fluid has been replaced by a fresh one. */
export interface MixtureDescription {
  readonly kind: 'mixture';
  readonly name: string;
  readonly old: FluidDescription;
  readonly fresh: FluidDescription;
  /** Mass of the fresh fluid over the mass of both, 0 to 1. */
  readonly freshShare: number;
  readonly uFreshShare: number;
}

export type DensityDescription =
  | {
      /** Petroleum volume correction for lubricating oils from the density at 15 °C, as a data sheet gives it. */
      readonly kind: 'lubricating-oil';
      readonly at15KgPerM3: number;
      readonly uKgPerM3: number;
      /** How far this oil's own expansion may lie from that of the group, 1/K. */
      readonly uExpansionPerK: number;
    }
  | {
      readonly kind: 'water';
      /** What salts and air do to it: 0 for distilled water. */
      readonly uKgPerM3: number;
    }
  | {
      readonly kind: 'table';
      readonly points: readonly { readonly tC: number; readonly kgPerM3: number }[];
      readonly uKgPerM3: number;
      readonly source: string;
    };

export type SoundDescription =
  | {
      readonly kind: 'linear';
      /** speed = mPerS + perK × (t − atC) */
      readonly atC: number;
      readonly mPerS: number;
      readonly uMPerS: number;
      readonly perK: number;
      readonly uPerK: number;
      readonly lowC: number;
      readonly highC: number;
      readonly source: string;
    }
  | {
      /** Measured in the fluid itself: an echo over a known length at a known temperature. */
      readonly kind: 'calibrated';
      readonly atC: number;
      readonly uAtC: number;
      /** From the face of the sensor to the reflector; the echo travels it twice. */
      readonly lengthMm: number;
      readonly uLengthMm: number;
      /** Echo time there and back, fixed delays of the electronics already taken off. */
      readonly echoUs: number;
      readonly uEchoUs: number;
      readonly perK: number;
      readonly uPerK: number;
      readonly lowC: number;
      readonly highC: number;
      readonly source: string;
    }
  | {
      readonly kind: 'water';
      /** What salts and air do to it: 0 for distilled water. */
      readonly uMPerS: number;
    }
  | {
      readonly kind: 'table';
      readonly points: readonly { readonly tC: number; readonly mPerS: number }[];
      readonly uMPerS: number;
      readonly source: string;
    };
