import type { Carried, OutcomeBody, Stamp } from './events.ts';

export const NOTHING_CARRIED: Carried = Object.freeze({
  lastEvent: 0,
  revision: 0,
  job: null,
  lastJobId: 0,
  lastReadingId: 0,
  lastReading: null,
  zero: null,
});

/**
 * What survives a process start, after one more outcome. The core and the journal both fold with this function, so the
 * state after a crash is that of the last durable outcome, exactly.
 */
export function carry(before: Carried, outcome: OutcomeBody & Stamp & { readonly event: number }): Carried {
  const after = { ...NOTHING_CARRIED, ...before, lastEvent: outcome.event };
  switch (outcome.kind) {
    case 'action':
      return { ...after, revision: outcome.revision };
    case 'job':
      return {
        ...after,
        job: outcome.change === 'closed' ? null : outcome.job,
        lastJobId: outcome.job.id,
        zero: null,
      };
    case 'zero-check':
      return { ...after, zero: { checks: [...(after.zero?.checks ?? []), outcome.check], since: [] } };
    case 'reading':
      return {
        ...after,
        lastReadingId: outcome.reading.id,
        lastReading: outcome.reading,
        job: after.job && { ...after.job, readings: after.job.readings + 1 },
        zero: after.zero && { ...after.zero, since: [...after.zero.since, outcome.reading.id] },
      };
    case 'ready':
    case 'alarm':
    case 'fault':
      return after;
  }
}
