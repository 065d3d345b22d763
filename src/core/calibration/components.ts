/**
 * What the calibration of a channel adds to the uncertainty of one of its values: independent components, each with the
 * key of its certificate, so that what two readings have in common cancels in their difference.
 */
import { cholesky } from '../uncertainty/triangle.ts';
import type { AppliedCertificate, Certificate, CorrectionResult } from './certificate.ts';
import { type CertificateOf, heldInside, inForce } from './in-force.ts';
import { evaluate } from './polynomial-fit.ts';

export interface CalibrationComponent {
  readonly words: string;
  /** Equal keys are one and the same error; null for an error that no other value shares. */
  readonly key: string | null;
  readonly type: 'A' | 'B';
  /** Error of the value for one standard deviation, with its sign, in the unit of the channel. */
  readonly effect: number;
  readonly degreesOfFreedom: number | null;
}

/** How a value leans on the speed of sound and on the signal, where it comes from an echo. */
export interface EchoPartials {
  readonly perMPerS: number;
  /** ∂value/∂signal, unit per µs. */
  readonly perUs: number;
}

/** How long each certificate is overdue, in its own intervals, by id; only those that are. */
export type Overdue = Readonly<Record<string, number>>;

export interface CalibratedValue {
  /** Before correction. */
  readonly uncorrected: number;
  /** ∂value/∂uncorrected. */
  readonly slope: number;
  readonly echo: EchoPartials;
  /** What the bench file says of the instrument without a calibration. */
  readonly statedU: number;
}

export function calibrationComponents(
  all: readonly AppliedCertificate[],
  channel: string,
  at: CalibratedValue,
  overdue: Overdue,
): CalibrationComponent[] {
  const { correction, echo, deadTime, refit } = inForce(all, channel);
  const found: CalibrationComponent[] = [];
  const add = (certificate: Certificate, components: readonly CalibrationComponent[], statedU = 0): void => {
    found.push(...components, ...late(certificate, components, statedU, overdue, channel));
  };
  if (correction !== null) {
    const outside = beyond(correction, at, channel);
    // The instrument's own uncertainty comes back once, for whichever reason.
    const comesBack = outside.length === 0 && replacesStated(correction.result) ? at.statedU : 0;
    add(correction, ofCorrection(correction, at.uncorrected, channel), comesBack);
    found.push(...outside);
  }
  if (echo !== null) add(echo, ofEcho(echo, at, deadTime === null, channel));
  if (deadTime !== null) {
    const { u, degreesOfFreedom } = deadTime.result;
    const effect = -at.echo.perUs * u * at.slope;
    add(deadTime, [component(deadTime, 0, `calibration of the dead time (${channel})`, effect, degreesOfFreedom)]);
  }
  if (refit !== null) {
    const { sd, degreesOfFreedom } = refit.result;
    found.push({ words: `fitting the sensor anew (${channel})`, key: null, type: 'A', effect: sd, degreesOfFreedom });
  }
  return found.filter(({ effect }) => effect !== 0);
}

/** Each column of the triangle is one independent error of the coefficients. */
function ofCorrection(
  { result, ...of }: CertificateOf<'correction'>,
  value: number,
  channel: string,
): CalibrationComponent[] {
  const at = heldInside(result, value);
  const words = `calibration (${channel})`;
  const columns = triangleOf(result.covariance);
  const own = columns.map((column, j) =>
    component(
      of,
      j,
      columns.length === 1 ? words : `${words}, ${j + 1} of ${columns.length}`,
      evaluate(result, column, at).value,
      result.degreesOfFreedom,
    ),
  );
  return [
    ...own,
    {
      words: `reference of the calibration (${channel})`,
      key: keyOf(of.id, 'reference'),
      type: 'B',
      effect: of.reference.u,
      degreesOfFreedom: null,
    },
  ];
}

/** A curve says nothing beyond its points: the instrument's own uncertainty counts again, and the curve's slope there. */
function beyond(
  { result }: CertificateOf<'correction'>,
  { uncorrected: value, statedU }: CalibratedValue,
  channel: string,
): CalibrationComponent[] {
  const awayFrom = value < result.low ? result.low : value > result.high ? result.high : null;
  if (awayFrom === null || result.coefficients.length === 1) return [];
  const held = heldInside(result, value);
  const lost = held === value ? 0 : evaluate(result, result.coefficients, held).slope * (value - held);
  const own = replacesStated(result) ? statedU : 0;
  const effect = Math.sqrt(own * own + lost * lost);
  return [{ words: `beyond the calibrated points (${channel})`, key: null, type: 'B', effect, degreesOfFreedom: null }];
}

function ofEcho(
  certificate: CertificateOf<'echo'>,
  { echo, slope }: CalibratedValue,
  withDeadTime: boolean,
  channel: string,
): CalibrationComponent[] {
  const { covariance, degreesOfFreedom } = certificate.result;
  return triangleOf(covariance).map(([sound, dead], j) => {
    const effect = slope * (echo.perMPerS * (sound ?? 0) - (withDeadTime ? echo.perUs * (dead ?? 0) : 0));
    const words = `calibration of speed of sound and dead time (${channel}), ${j + 1} of 2`;
    return component(certificate, j, words, effect, degreesOfFreedom);
  });
}

/**
 * Overdue: what the bench file says of the instrument counts again in full where the calibration had taken its place,
 * and the calibration's own uncertainty is added once, and once more for each interval that it is late.
 */
function late(
  certificate: Certificate,
  components: readonly CalibrationComponent[],
  statedU: number,
  overdue: Overdue,
  channel: string,
): CalibrationComponent[] {
  const intervals = overdue[certificate.id];
  if (intervals === undefined) return [];
  const variance = components.reduce((sum, { effect }) => sum + effect * effect, 0);
  const more = (1 + intervals) * Math.sqrt(variance);
  const effect = Math.sqrt(more * more + statedU * statedU);
  return [
    {
      words: `calibration overdue (${channel})`,
      key: keyOf(certificate.id, 'overdue'),
      type: 'B',
      effect,
      degreesOfFreedom: null,
    },
  ];
}

function component(
  { id }: Pick<Certificate, 'id'>,
  j: number,
  words: string,
  effect: number,
  degreesOfFreedom: number | null,
): CalibrationComponent {
  return { words, key: keyOf(id, j), type: degreesOfFreedom === null ? 'B' : 'A', effect, degreesOfFreedom };
}

function keyOf(id: string, part: number | string): string {
  return `calibration:${id}/${part}`;
}

/** Fewer tell too little of the scatter to replace a statement about the instrument. */
const LEAST_DEGREES_OF_FREEDOM = 2;

/** Whether the scatter about the curve stands in for the bench file's uncertainty of the instrument. */
export function replacesStated({ residualSd, scatterDegreesOfFreedom }: CorrectionResult): boolean {
  return residualSd !== null && scatterDegreesOfFreedom >= LEAST_DEGREES_OF_FREEDOM;
}

/** Columns of the lower triangle of a covariance. */
export function triangleOf(covariance: readonly (readonly number[])[]): number[][] {
  const rows = cholesky(covariance);
  return rows.map((_, j) => rows.map((row) => row[j] ?? 0));
}

/** The certificates in force for these channels, by id: what a reading rests on. */
export function certificateIds(all: readonly AppliedCertificate[], channels: readonly string[]): string[] {
  return channels.flatMap((channel) =>
    Object.values(inForce(all, channel)).flatMap((one: Certificate | null) => (one === null ? [] : [one.id])),
  );
}
