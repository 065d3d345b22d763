/** Where a job stands: the fold of its outcomes, so a power cut loses nothing that was announced. Plain data. */

import type { Balance } from '../dosing/balance.ts';
import type { MachineType } from '../dosing/machine-type.ts';
import type { ResponsePrior } from '../dosing/response.ts';
import type { Reading } from '../events.ts';
import type { AmountKind } from '../requests.ts';
import type { ProcedureDescription } from './procedure.ts';

export interface Progress {
  /** The step that it is at; null once all are done. */
  readonly at: string | null;
  /** How often it has come to a step, this time included. */
  readonly round: number;
  /** What had happened when it came there. */
  readonly since: Since;
  readonly ended: readonly StepEnded[];
  /** Ticked in the step that it is at. */
  readonly ticks: readonly string[];
  readonly entries: readonly Entered[];
  readonly amounts: readonly AmountMade[];
  /** For the dose that it is at. */
  readonly advice: Advice | null;
  /** The newest one. */
  readonly balance: Balance | null;
  readonly engine: 'running' | 'stopped' | null;
  /** Events at which the engine was started: vessel and circuit become one. */
  readonly starts: readonly number[];
  /** The reading that the others are held against, and the first of all. */
  readonly firstReading: Reading | null;
  readonly paused: boolean;
  /** What machines of this kind have taught by the beginning of the job; null where nothing is known of it. */
  readonly prior: ResponsePrior | null;
}

export interface Since {
  readonly event: number;
  readonly run: number;
  readonly tUs: number;
  /** Newest reading of the journal, and checks of the zero in this job. */
  readonly reading: number;
  readonly zeroChecks: number;
}

export interface StepEnded {
  readonly event: number;
  readonly step: string;
  readonly how: 'done' | 'skipped' | 'back';
  readonly actor: string | null;
  /** Of the person, or of the bench. */
  readonly words: string | null;
  readonly answer: string | null;
  readonly photos: readonly string[];
  /** As it was then. */
  readonly temperatureC: number | null;
  /** s; null where the run ended in between. */
  readonly tookS: number | null;
}

export interface Entered {
  readonly event: number;
  readonly name: string;
  /** Quantities in the unit inside. */
  readonly value: number | string;
  readonly actor: string;
  /** Why another value than expected stands. */
  readonly override: string | null;
  /** Event of the entry in whose place it stands. */
  readonly corrects: number | null;
}

export interface AmountMade {
  readonly event: number;
  readonly step: string | null;
  readonly kind: AmountKind;
  readonly amount: number;
  /** kg as a scale in air shows them. */
  readonly unit: 'L' | 'kg';
  /** Id of the jug or scale, and what it is worth. */
  readonly measure: string;
  readonly uShare: number;
  readonly uEach: number;
  /** Of the fluid as it was measured. */
  readonly tC: number;
  readonly uTemperatureK: number;
  /** Newest reading when it was told. */
  readonly afterReading: number;
  readonly actor: string;
  readonly corrects: number | null;
}

/** How much next. */
export interface Advice {
  readonly step: string;
  /** 'nothing': no amount helps, or none can be told; words say why. */
  readonly way: 'in' | 'out' | 'nothing';
  /** In the unit of the measure; 0 for nothing. */
  readonly amount: number;
  readonly unit: 'L' | 'kg';
  readonly measure: string;
  /** Expanded uncertainty of what is needed, for 95 %, in the same unit. */
  readonly U95: number;
  /** The level, as readings tell it, at which to shut the tap; null where it cannot be told. */
  readonly stopMarkMm: number | null;
  /** s that a dose with its reading takes, as known so far. */
  readonly takesS: number;
  readonly words: { readonly todo: string; readonly why: string; readonly expected: string | null };
}

// ---------------------------------------------------------------- outcomes

export interface StepOutcome {
  readonly kind: 'step';
  readonly step: string;
  readonly how: StepEnded['how'];
  /** Where the job goes on; null: all steps are done. */
  readonly next: string | null;
  readonly actor: string | null;
  readonly words: string | null;
  readonly answer: string | null;
  readonly photos: readonly string[];
  readonly temperatureC: number | null;
  readonly engine: 'running' | 'stopped' | null;
}

export type JobOutcome =
  | StepOutcome
  | { readonly kind: 'ticked'; readonly step: string; readonly ticks: readonly string[] }
  | ({ readonly kind: 'entered' } & Omit<Entered, 'event'>)
  | { readonly kind: 'amount'; readonly made: Omit<AmountMade, 'event'> }
  | { readonly kind: 'advice'; readonly advice: Advice }
  | { readonly kind: 'balance'; readonly balance: Balance }
  | { readonly kind: 'engine'; readonly running: boolean; readonly actor: string }
  | { readonly kind: 'machine-type'; readonly machineType: MachineType };

export function beginning({ steps }: ProcedureDescription, prior: ResponsePrior | null, since: Since): Progress {
  return {
    at: steps[0]?.id ?? null,
    round: 1,
    since,
    ended: [],
    ticks: [],
    entries: [],
    amounts: [],
    advice: null,
    balance: null,
    engine: null,
    starts: [],
    firstReading: null,
    paused: false,
    prior,
  };
}

/** After one more outcome; `now` as things stand with it. */
export function progressed(before: Progress, outcome: JobOutcome, now: Since): Progress {
  const { event } = now;
  switch (outcome.kind) {
    case 'step': {
      const { step, how, actor, words, answer, photos, temperatureC, next, engine } = outcome;
      const { since } = before;
      const tookS = since.run === now.run ? (now.tUs - since.tUs) / 1e6 : null;
      const ended: StepEnded = { event, step, how, actor, words, answer, photos, temperatureC, tookS };
      const all = [...before.ended, ended];
      return {
        ...before,
        ...began(engine === null ? before : { ...before, engine }, engine === 'running' ? event : null),
        at: next,
        round: all.filter((one) => one.step === next).length + 1,
        since: now,
        ended: all,
        ticks: [],
        advice: null,
      };
    }
    case 'ticked':
      return { ...before, ticks: outcome.ticks };
    case 'entered': {
      const { name, value, actor, override, corrects } = outcome;
      return { ...before, entries: [...before.entries, { event, name, value, actor, override, corrects }] };
    }
    case 'amount':
      return { ...before, amounts: [...before.amounts, { ...outcome.made, event }] };
    case 'advice':
      return { ...before, advice: outcome.advice };
    case 'balance':
      return { ...before, balance: outcome.balance };
    case 'engine': {
      const engine = outcome.running ? ('running' as const) : ('stopped' as const);
      return began({ ...before, engine }, outcome.running ? event : null);
    }
    case 'machine-type':
      return before;
  }
}

function began(before: Progress, start: number | null): Progress {
  return start === null ? before : { ...before, starts: [...before.starts, start] };
}

/** What holds now: the newest of each name. */
export function entryOf({ entries }: Progress, name: string): Entered | null {
  return entries.findLast((one) => one.name === name) ?? null;
}

/** Those that stand: a correction in the place of what it corrects, in the order of the first telling; 0 takes one back. */
export function standing({ amounts }: Pick<Progress, 'amounts'>): readonly AmountMade[] {
  const stands = new Map<number, AmountMade>();
  const roots = new Map<number, number>();
  for (const one of amounts) {
    const root = one.corrects === null ? one.event : (roots.get(one.corrects) ?? one.corrects);
    roots.set(one.event, root);
    // The place in the order of things is that of the first telling.
    stands.set(root, { ...one, event: root });
  }
  return [...stands.values()].filter(({ amount }) => amount > 0);
}
