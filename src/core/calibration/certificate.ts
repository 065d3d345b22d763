/**
 * What a calibration leaves behind, as plain data. Values and uncertainties in the unit that the channel is kept in (°C
 * and K, mm, …); echo times in µs; every `u` is a standard uncertainty.
 */

export const CALIBRATION_KINDS = [
  'ice-point',
  'boiling-point',
  'two-point',
  'n-point',
  'echo-lengths',
  'successive-echoes',
  'block',
  'refit',
] as const;
export type CalibrationKind = (typeof CALIBRATION_KINDS)[number];

export interface Certificate {
  readonly id: string;
  /** Which device: its USB serial number, its answer, or a name of the bench's own. */
  readonly identity: string;
  /** Which of its signals. */
  readonly signal: string;
  /** The channel and the unit of its values when it was calibrated. */
  readonly channel: string;
  readonly unit: string;
  readonly kind: CalibrationKind;
  /** ms since 1970. */
  readonly atUtcMs: number;
  readonly dueUtcMs: number;
  readonly reference: ReferenceStandard;
  /** What stood between an echo sensor and what it was on; null where there is nothing. */
  readonly couplant: string | null;
  readonly points: readonly CalibrationPoint[];
  readonly result: CalibrationResult;
  readonly who: string;
  readonly software: string;
}

export interface ReferenceStandard {
  readonly name: string;
  /** What all points have in common, in the unit of their reference values. */
  readonly u: number;
}

export interface CalibrationPoint {
  /** Of the reference: a temperature, a level, a length. */
  readonly reference: number;
  readonly uReference: number;
  /** By the instrument, not corrected: the mean of `count` values, or an echo time. */
  readonly indicated: number;
  readonly uIndicated: number;
  readonly count: number;
  /** Error with the calibration that was in force before; null where there was none to compare. */
  readonly asFound: number | null;
  /** Error that is left with this one: the residual. */
  readonly asLeft: number;
}

export type CalibrationResult = CorrectionResult | EchoResult | DeadTimeResult | RefitResult;

/** A correction to be added, as a polynomial in z = (value − centre) / half-span. */
export interface CorrectionResult {
  readonly kind: 'correction';
  /** The values that were covered. */
  readonly low: number;
  readonly high: number;
  readonly centre: number;
  readonly halfSpan: number;
  readonly coefficients: readonly number[];
  /** Of the coefficients; what the reference standard adds to all points is not in it. */
  readonly covariance: readonly (readonly number[])[];
  /** Of the covariance; null for infinite. */
  readonly degreesOfFreedom: number | null;
  /** Of one value about the curve, with its degrees of freedom; null where nothing is left to tell it. */
  readonly residualSd: number | null;
  readonly scatterDegreesOfFreedom: number;
  readonly lackOfFit: { readonly F: number; readonly above: number; readonly below: number; readonly p: number } | null;
}

/** Speed of sound in the fluid, and the delay that belongs to the instrument. */
export interface EchoResult {
  readonly kind: 'echo';
  readonly soundMPerS: number;
  readonly deadTimeUs: number;
  /** Of speed and dead time, in that order. */
  readonly covariance: readonly (readonly number[])[];
  readonly degreesOfFreedom: number | null;
  /** Temperature of the fluid. */
  readonly atC: number;
  readonly uAtC: number;
}

export interface DeadTimeResult {
  readonly kind: 'dead-time';
  readonly deadTimeUs: number;
  readonly u: number;
  readonly degreesOfFreedom: number | null;
}

/** How much the value moves each time that the sensor is taken off and fitted again. */
export interface RefitResult {
  readonly kind: 'refit';
  readonly sd: number;
  readonly degreesOfFreedom: number;
}

/** A certificate that counts for a channel of this bench. */
export interface AppliedCertificate {
  readonly channel: string;
  readonly certificate: Certificate;
}
