/**
 * Speed of sound and dead time from echoes over known lengths: t = t₀ + 2L/c, a straight line through (length, time).
 * Two lengths at least; successive echoes over one length L are echoes over L, 2L, 3L, … whose lengths err together.
 */
import type { DeadTimeResult, EchoResult } from './certificate.ts';
import { fitPolynomial } from './polynomial-fit.ts';

export interface EchoPoint {
  readonly lengthMm: number;
  /** Of this length alone. */
  readonly uLengthMm: number;
  readonly echoUs: number;
  readonly uEchoUs: number;
}

/** mm and µs to m/s: c = 2000 / (µs per mm). */
const US_PER_MM_AT_1_M_PER_S = 2000;

/**
 * `uCommonShare`: what all lengths have in common, as a share of them, such as the one length of successive echoes.
 * Throws a RangeError where the points cannot give a speed.
 */
export function fitEchoes(
  points: readonly EchoPoint[],
  uCommonShare: number,
  temperature: { readonly atC: number; readonly uAtC: number },
): EchoResult & { residualsUs: readonly number[]; residualSdUs: number | null } {
  // How much of a length's error a time carries is known well enough from the outermost points.
  const sorted = [...points].sort((a, b) => a.lengthMm - b.lengthMm);
  const first = sorted[0];
  const last = sorted.at(-1);
  if (first === undefined || last === undefined || !(last.lengthMm > first.lengthMm))
    throw new RangeError('two different lengths at least are needed for a speed of sound');
  const steep = (last.echoUs - first.echoUs) / (last.lengthMm - first.lengthMm);
  const known = points.every(({ uEchoUs, uLengthMm }) => uEchoUs > 0 || uLengthMm > 0);
  const fit = fitPolynomial(
    points.map(({ lengthMm, uLengthMm, echoUs, uEchoUs }) => {
      const byLength = steep * uLengthMm;
      return { x: lengthMm, y: echoUs, u: known ? Math.sqrt(uEchoUs * uEchoUs + byLength * byLength) : null };
    }),
    1,
  );
  const slope = fit.plain[1] as number;
  const deadTimeUs = fit.plain[0] as number;
  const soundMPerS = US_PER_MM_AT_1_M_PER_S / slope;
  if (!(soundMPerS >= 300 && soundMPerS <= 3000))
    throw new RangeError(
      `these echoes give ${Number(soundMPerS.toPrecision(4))} m/s, which no fluid of a machine has: look at lengths and times`,
    );
  // t₀ = c0 − c1·m/h and slope = c1/h, in terms of the centred coefficients, whose covariance is at hand.
  const [[v00 = 0, v01 = 0] = [], [, v11 = 0] = []] = fit.covariance;
  const toZero = -fit.centre / fit.halfSpan;
  const perSlope = -soundMPerS / slope;
  const toSound = perSlope / fit.halfSpan;
  const common = soundMPerS * uCommonShare;
  return {
    kind: 'echo',
    soundMPerS,
    deadTimeUs,
    covariance: [
      [toSound * toSound * v11 + common * common, toSound * (v01 + toZero * v11)],
      [toSound * (v01 + toZero * v11), v00 + 2 * toZero * v01 + toZero * toZero * v11],
    ],
    degreesOfFreedom: fit.degreesOfFreedom,
    ...temperature,
    residualsUs: fit.residuals,
    residualSdUs: fit.residualSd,
  };
}

/** On a solid block of known thickness and speed of sound: the zero of the instrument, and nothing about the fluid. */
export function deadTimeOnBlock(
  block: { readonly thicknessMm: number; readonly uMm: number; readonly soundMPerS: number; readonly uMPerS: number },
  echo: { readonly us: number; readonly u: number; readonly count: number },
): DeadTimeResult {
  const wayUs = (US_PER_MM_AT_1_M_PER_S * block.thicknessMm) / block.soundMPerS;
  const byThickness = (wayUs / block.thicknessMm) * block.uMm;
  const bySpeed = (wayUs / block.soundMPerS) * block.uMPerS;
  return {
    kind: 'dead-time',
    deadTimeUs: echo.us - wayUs,
    u: Math.sqrt(echo.u * echo.u + byThickness * byThickness + bySpeed * bySpeed),
    degreesOfFreedom: null,
  };
}
