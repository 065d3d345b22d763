import { alarmsAfter, type StandingAlarm } from './alarms/standing.ts';
import type { ZeroCheck } from './calibration/zero-check.ts';
import type { LearnedSlope } from './compensation/description.ts';
import type { MachineType } from './dosing/machine-type.ts';
import type { Job, OutcomeBody, Reading, Stamp, Target, TargetAsked, Verdict } from './events.ts';
import type { ProcedureDescription } from './job/procedure.ts';
import { beginning, type Progress, progressed, type Since } from './job/progress.ts';
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
  /** Checks of the zero in the job that is open, and its readings since the last one; null before the first. */
  readonly zero: { readonly checks: readonly ZeroCheck[]; readonly since: readonly number[] } | null;
  /** The newest readings of the open job, oldest first: what a target may be taken from. */
  readonly jobReadings: readonly Reading[];
  readonly target: Target | null;
  /** The newest of the open job. */
  readonly lastVerdict: Verdict | null;
  /** What the open job follows, and how far it has come; null where it follows nothing. */
  readonly procedure: ProcedureDescription | null;
  readonly progress: Progress | null;
  /** Learned from the warm-up of the open job. */
  readonly learnedInJob: LearnedSlope | null;
  /** What jobs have taught of kinds of machines, by name. */
  readonly machineTypes: Readonly<Record<string, MachineType>>;
  /** What the last job was started with, for the next one: all but the customer's fields. */
  readonly lastStart: { readonly procedure: string | null; readonly machineType: string | null };
  /** Alarms that are not normal: active, or returned and not acknowledged, or shelved. */
  readonly alarms: readonly StandingAlarm[];
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
  jobReadings: [],
  target: null,
  lastVerdict: null,
  zero: null,
  procedure: null,
  progress: null,
  learnedInJob: null,
  machineTypes: {},
  lastStart: { procedure: null, machineType: null },
  alarms: [],
});

type Numbered = Stamp & { readonly event: number; readonly run: number };

/** A target is taken from one of these; more would only make every restart heavier. */
const MOST_JOB_READINGS = 12;

/**
 * What survives a process start, after one more outcome. The core and the journal both fold with this function, so the
 * state after a crash is that of the last durable outcome, exactly.
 */
export function carry(before: Carried, outcome: OutcomeBody & Numbered): Carried {
  const after = { ...NOTHING_CARRIED, ...before, lastEvent: outcome.event };
  switch (outcome.kind) {
    case 'action':
      return { ...after, revision: outcome.revision };
    case 'job':
      return afterJob(after, outcome);
    case 'step':
    case 'ticked':
    case 'entered':
    case 'amount':
    case 'advice':
    case 'balance':
    case 'engine':
      return { ...after, progress: after.progress && progressed(after.progress, outcome, since(after, outcome)) };
    case 'machine-type': {
      const { machineType } = outcome;
      return { ...after, machineTypes: { ...after.machineTypes, [machineType.name]: machineType } };
    }
    case 'target':
      return { ...after, target: targetOf(outcome.target, before.jobReadings), lastVerdict: null };
    case 'verdict':
      return { ...after, lastVerdict: outcome.verdict };
    case 'zero-check':
      return { ...after, zero: { checks: [...(after.zero?.checks ?? []), outcome.check], since: [] } };
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
        jobReadings: after.job === null ? [] : [...after.jobReadings, outcome.reading].slice(-MOST_JOB_READINGS),
        zero: after.zero && { ...after.zero, since: [...after.zero.since, outcome.reading.id] },
        progress: after.progress && {
          ...after.progress,
          firstReading: after.progress.firstReading ?? outcome.reading,
        },
      };
    case 'machine':
      return { ...after, machine: outcome.machine };
    case 'slope':
      return {
        ...after,
        learned: outcome.inUse ? outcome.learned : after.learned,
        learnedInJob: after.job === null ? null : (outcome.learned ?? after.learnedInJob),
      };
    case 'ready':
      return { ...after, ready: outcome.ready };
    case 'alarm':
      return { ...after, alarms: alarmsAfter(after.alarms, outcome) };
    case 'fault':
      return after;
  }
}

function afterJob(before: Carried, outcome: Extract<OutcomeBody, { kind: 'job' }> & Numbered): Carried {
  const { change, job, begins } = outcome;
  if (change === 'paused' || change === 'resumed')
    return { ...before, progress: before.progress && { ...before.progress, paused: change === 'paused' } };
  const started = change === 'started';
  const fresh = {
    ...before,
    job: started ? job : null,
    lastJobId: job.id,
    jobReadings: [],
    target: null,
    lastVerdict: null,
    zero: null,
    procedure: null,
    progress: null,
    learnedInJob: null,
  };
  if (!started) return fresh;
  const { procedure = null, machineType = null } = job;
  return {
    ...fresh,
    procedure: begins?.procedure ?? null,
    progress: begins === undefined ? null : beginning(begins.procedure, begins.prior, since(fresh, outcome)),
    lastStart: { procedure: procedure?.id ?? null, machineType },
  };
}

function since({ lastReadingId, zero }: Carried, { event, run, tUs }: Numbered): Since {
  return { event, run, tUs, reading: lastReadingId, zeroChecks: zero?.checks.length ?? 0 };
}

/** The target that is asked for; null where it names a reading that the job does not hold. */
export function targetOf(asked: TargetAsked, jobReadings: readonly Reading[]): Target | null {
  if (asked.from === 'level') return asked;
  const reading = jobReadings.find(({ id }) => id === asked.reading);
  return reading === undefined ? null : { from: 'reading', reading };
}
