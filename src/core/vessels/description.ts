/**
 * What a vessel is, as plain data: its shape, its walls, where its sensor sits and what fluid is held outside it. Lengths
 * and levels mm, volumes L, temperatures °C, tilt °.
 */

export interface VesselDescription {
  readonly name: string;
  readonly shape: ShapeDescription;
  /** What the gauge shows when the fluid just reaches the floor of the shape; for a strapping table its own zero, 0. */
  readonly floorAtMm: number;
  /** Standard uncertainty of its volumes as a share of them, common to all: how well it was measured or strapped. */
  readonly uVolumeShare: number;
  /** Null where the walls' own expansion is left out. */
  readonly wall: WallDescription | null;
  readonly sensor: SensorPlace;
  /** How it stands; null where it is taken to stand level. */
  readonly tilt: Tilt | null;
}

export type ShapeDescription =
  | { readonly kind: 'strapping-table'; readonly points: readonly { readonly mm: number; readonly litres: number }[] }
  | { readonly kind: 'box'; readonly lengthMm: number; readonly widthMm: number; readonly heightMm: number }
  | {
      /** Frustum of a pyramid: flat walls between a rectangular floor and a rectangular rim. */
      readonly kind: 'tapered-pan';
      readonly floorLengthMm: number;
      readonly floorWidthMm: number;
      readonly rimLengthMm: number;
      readonly rimWidthMm: number;
      readonly heightMm: number;
    }
  | { readonly kind: 'upright-cylinder'; readonly diameterMm: number; readonly heightMm: number }
  | {
      /** Lying on its side, flat ends. */
      readonly kind: 'horizontal-cylinder';
      readonly diameterMm: number;
      readonly lengthMm: number;
    };

export interface WallDescription {
  /** Linear expansion coefficient of the walls, 1/K, and its standard uncertainty. */
  readonly linearPerK: number;
  readonly uLinearPerK: number;
  /** Temperature at which the dimensions hold. */
  readonly atC: number;
}

/** Where the sensor meets the fluid in plan. The reference point is the middle of the plan. */
export type SensorPlace =
  | {
      readonly kind: 'known';
      /** From the middle of the plan, along the length and across it. */
      readonly alongMm: number;
      readonly acrossMm: number;
    }
  | {
      readonly kind: 'unknown';
      /** It lies no farther from the reference point than this. */
      readonly withinMm: number;
    };

/** Fluid held outside the vessel: converter, cooler, passages. It may open in steps, from a closed list of states. */
export interface CircuitDescription {
  readonly states: readonly CircuitState[];
  readonly wall: WallDescription | null;
}

export interface CircuitState {
  readonly id: string;
  readonly litres: number;
  readonly uLitres: number;
}

/** How a vessel leans: angle by which the + end of each axis is raised above the horizontal. */
export interface Tilt {
  readonly alongDeg: number;
  readonly acrossDeg: number;
  /** Standard uncertainty of each. */
  readonly uDeg: number;
}
