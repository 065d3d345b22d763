/** Which certificates count for a channel, and what they do to its values. */
import type { AppliedCertificate, CalibrationResult, Certificate, CorrectionResult } from './certificate.ts';
import { evaluate } from './polynomial-fit.ts';

export type CertificateOf<K extends CalibrationResult['kind']> = Certificate & {
  readonly result: Extract<CalibrationResult, { kind: K }>;
};

export interface InForce {
  readonly correction: CertificateOf<'correction'> | null;
  readonly echo: CertificateOf<'echo'> | null;
  /** Only where it is newer than `echo`, which has a dead time of its own. */
  readonly deadTime: CertificateOf<'dead-time'> | null;
  readonly refit: CertificateOf<'refit'> | null;
}

const made = new WeakMap<readonly AppliedCertificate[], Map<string, InForce>>();

/** The newest of each sort. */
export function inForce(all: readonly AppliedCertificate[], channel: string): InForce {
  let known = made.get(all);
  if (known === undefined) {
    known = new Map();
    made.set(all, known);
  }
  let found = known.get(channel);
  if (found === undefined) {
    found = choose(all.flatMap((one) => (one.channel === channel ? [one.certificate] : [])));
    known.set(channel, found);
  }
  return found;
}

function choose(certificates: readonly Certificate[]): InForce {
  const newest = <K extends CalibrationResult['kind']>(kind: K): CertificateOf<K> | null => {
    let best: Certificate | null = null;
    for (const one of certificates)
      if (one.result.kind === kind && (best === null || one.atUtcMs >= best.atUtcMs)) best = one;
    return best as CertificateOf<K> | null;
  };
  const echo = newest('echo');
  const block = newest('dead-time');
  const deadTime = block !== null && (echo === null || block.atUtcMs > echo.atUtcMs) ? block : null;
  const correction = newest('correction');
  // A correction was found behind the law as it was then: another speed or dead time since, and it holds no more.
  const lawSince = Math.max(echo?.atUtcMs ?? Number.NEGATIVE_INFINITY, deadTime?.atUtcMs ?? Number.NEGATIVE_INFINITY);
  return {
    correction: correction !== null && correction.atUtcMs >= lawSince ? correction : null,
    echo,
    deadTime,
    refit: newest('refit'),
  };
}

export interface Corrected {
  readonly value: number;
  /** ∂corrected/∂uncorrected. */
  readonly slope: number;
}

/** Straight corrections go on beyond their points; curved ones are held at their end. */
const STRAIGHT = 2;

/** Adds the correction of a certificate to a value. */
export function corrected(certificate: CertificateOf<'correction'> | null, value: number): Corrected {
  if (certificate === null) return { value, slope: 1 };
  const { result } = certificate;
  const held = heldInside(result, value);
  const { value: correction, slope } = evaluate(result, result.coefficients, held);
  return { value: value + correction, slope: held === value ? 1 + slope : 1 };
}

/** The value before correction; the correction is small and changes slowly, so a few steps do. */
export function uncorrected(certificate: CertificateOf<'correction'> | null, value: number): number {
  let before = value;
  for (let i = 0; i < 20; i++) {
    const { value: after, slope } = corrected(certificate, before);
    const step = (value - after) / slope;
    before += step;
    if (!(Math.abs(step) > 1e-13 * Math.abs(value))) break;
  }
  return before;
}

export function heldInside(result: CorrectionResult, value: number): number {
  return result.coefficients.length <= STRAIGHT ? value : Math.min(Math.max(value, result.low), result.high);
}
