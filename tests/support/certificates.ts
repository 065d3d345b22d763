/** Certificates for tests of the core; figures of our own. */
import type { AppliedCertificate, CalibrationResult, Certificate } from '../../src/core/calibration/certificate.ts';

export const DAY_MS = 86_400_000;
export const MADE_UTC_MS = Date.UTC(2031, 4, 6);

export function certificate(result: CalibrationResult, more: Partial<Certificate> = {}): Certificate {
  return {
    id: `made-${result.kind}`,
    identity: 'probe 17',
    signal: 'temp',
    channel: 'temperature',
    unit: 'Cel',
    kind: 'n-point',
    atUtcMs: MADE_UTC_MS,
    dueUtcMs: MADE_UTC_MS + 100 * DAY_MS,
    reference: { name: 'bath thermometer 4', u: 0 },
    couplant: null,
    points: [{ reference: 0, uReference: 0, indicated: 0, uIndicated: 0, count: 1, asFound: null, asLeft: 0 }],
    result,
    who: 'Mira',
    software: 'test',
    ...more,
  };
}

export function applied(channel: string, one: Certificate): AppliedCertificate {
  return { channel, certificate: one };
}
