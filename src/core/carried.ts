import type { LearnedSlope } from './compensation/description.ts';
import type { Job, OutcomeBody, Reading, Stamp } from './events.ts';
import type { MachineState } from './machine.ts';

/**
 * What survives a process start. It is the fold of the outcomes so far, so a crash loses nothing that
 * was announced.
 */
export interface Carried {
  readonly lastEvent: number;
  readonly revision: number;
  readonly job: Job | null;
  readonly lastJobId: number;
  readonly lastReadingId: number;
  readonly lastReading: Reading | null;
  readonly machine: MachineState;
  readonly learned: LearnedSlope | null;
  /** What the last change of ready said: a run cut off while ready has yet to be told its end. */
  readonly ready: boolean;
}

export const NOTHING_CARRIED: Carried = Object.freeze({
  lastEvent: 0,
  revision: 0,
  job: null,
  lastJobId: 0,
  lastReadingId: 0,
  lastReading: null,
  machine: { stated: null, circuit: null },
  learned: null,
  ready: false,
});

/**
 * What survives a process start, after one more outcome. The core and the journal both fold with this function, so the
 * state after a crash is that of the last durable outcome, exactly.
 */
export function carry(before: Carried, outcome: OutcomeBody & Stamp & { readonly event: number }): Carried {
  const after = { ...before, lastEvent: outcome.event };
  switch (outcome.kind) {
    case 'action':
      return { ...after, revision: outcome.revision };
    case 'job':
      return { ...after, job: outcome.change === 'closed' ? null : outcome.job, lastJobId: outcome.job.id };
    case 'reading':
      return {
        ...after,
        lastReadingId: outcome.reading.id,
        lastReading: outcome.reading,
        job: after.job && {
          ...after.job,
          readings: after.job.readings + 1,
          referenceC: after.job.referenceC ?? outcome.reading.referenceC,
        },
      };
    case 'machine':
      return { ...after, machine: outcome.machine };
    case 'slope':
      return outcome.inUse ? { ...after, learned: outcome.learned } : after;
    case 'ready':
      return { ...after, ready: outcome.ready };
    case 'alarm':
    case 'fault':
      return after;
  }
}
