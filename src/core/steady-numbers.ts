/** What readiness rests on. */
export interface SteadyNumbers {
  /** Speed of the level, with its standard uncertainty. */
  readonly driftMmPerMin: number;
  readonly uDriftMmPerMin: number;
  /** Standard deviation of single values. */
  readonly noiseMm: number;
  readonly used: number;
  /** Independent values that those used are worth. */
  readonly effective: number;
  /** Share of the values set aside as wild. */
  readonly setAsideShare: number;
  /** No farther than this from where it comes to rest, with the confidence asked for. */
  readonly boundMm: number;
}
