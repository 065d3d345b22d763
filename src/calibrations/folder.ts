/** The folder of certificates beside a bench file: a file for each device. */
import { createHash } from 'node:crypto';
import { dirname, join, resolve } from 'node:path';
import type { AppliedCertificate, Certificate } from '../core/calibration/certificate.ts';
import { inForce } from '../core/calibration/in-force.ts';
import { type BenchDescription, INSIDE_UNITS } from '../core/description.ts';
import { readCertificates } from './file.ts';
import { identityOf } from './identity.ts';

/** Where the certificates of a device are kept: its name for people, and a digest, since names differ by more than letters. */
export function certificateFile(benchFile: string, identity: string): string {
  const readable = identity
    .toLowerCase()
    .replaceAll(/[^a-z0-9]+/g, '-')
    .replaceAll(/^-+|-+$/g, '')
    .slice(0, 40);
  const digest = createHash('sha256').update(identity).digest('hex').slice(0, 8);
  return join(dirname(resolve(benchFile)), 'calibrations', `${readable === '' ? 'device' : readable}-${digest}.jsonl`);
}

/**
 * The certificates that count for each channel of the bench: those of the same device, the same signal and the
 * same unit. @throws StillwellError calibration-damaged
 */
export function loadCalibrations(benchFile: string, bench: BenchDescription): AppliedCertificate[] {
  return bench.channels.flatMap((channel) => {
    const identity = identityOf(bench, channel);
    const own = readCertificates(certificateFile(benchFile, identity.name)).filter(
      (one) =>
        one.identity === identity.name &&
        one.signal === channel.signal &&
        (channel.signal !== '' || one.channel === channel.id) &&
        one.unit === INSIDE_UNITS[channel.quantity],
    );
    const all = own.map((certificate) => ({ channel: channel.id, certificate }));
    return Object.values(inForce(all, channel.id)).flatMap((certificate: Certificate | null) =>
      certificate === null ? [] : [{ channel: channel.id, certificate }],
    );
  });
}
