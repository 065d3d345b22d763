/** How a level is brought to another temperature, as plain data. Temperatures °C, slopes mm/K. */

export type CompensationDescription =
  /** By the conservation of mass in vessel and circuit, from the bench's fluid and vessel: the reference way. */
  | { readonly kind: 'vessel-and-fluid' }
  /** By a chart of the level that one and the same filling shows at each temperature. */
  | {
      readonly kind: 'chart';
      /** Rising temperatures, two points or more. */
      readonly points: readonly { readonly tC: number; readonly mm: number }[];
      /** Standard uncertainty of what the chart says of one kelvin, mm/K. */
      readonly uMmPerK: number;
    }
  | SlopeDescription
  /** By a slope learned from this bench's own warm-up; until there is one, by the slope stated. */
  | { readonly kind: 'learned'; readonly until: SlopeDescription };

/** level(reference) = level − slope × (temperature − reference). */
export interface SlopeDescription {
  readonly kind: 'slope';
  readonly mmPerK: number;
  /** Standard uncertainty of the slope. */
  readonly uMmPerK: number;
}

/** What a warm-up taught. */
export interface LearnedSlope {
  readonly mmPerK: number;
  /** Standard error, from the scatter about the line and its correlation. */
  readonly uMmPerK: number;
  readonly fromC: number;
  readonly toC: number;
  /** Temperature steps that it rests on. */
  readonly points: number;
}

/** Why a warm-up teaches nothing. */
export type LearningRefusal = 'too-short' | 'curved' | 'jumped';

/** What the bench says of one kelvin by itself. */
export interface ModelSlope {
  readonly mmPerK: number;
  readonly uMmPerK: number;
}

/** What a warm-up taught, or why it taught nothing, held against what the bench says of itself. */
export interface SlopeOutcome {
  readonly kind: 'slope';
  readonly learned: LearnedSlope | null;
  readonly refusal: LearningRefusal | null;
  readonly model: ModelSlope | null;
  /** Null where there is nothing to compare. */
  readonly agrees: boolean | null;
  /** Whether readings use it from here on. */
  readonly inUse: boolean;
}
