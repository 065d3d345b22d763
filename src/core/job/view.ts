/** A job as it is shown: which steps are done, what is asked now, why it does not go on, what went in and out. */
import type { Balance } from '../dosing/balance.ts';
import type { GateId, Reading } from '../events.ts';
import { filledL, freshC, freshOf, refillOf } from './accounts.ts';
import { type Block, type Blocking, blocksOf } from './blocked.ts';
import type {
  AskedValue,
  HoldDescription,
  MeasureDescription,
  ProcedureDescription,
  StepDescription,
} from './procedure.ts';
import { type Advice, type AmountMade, type Entered, type Progress, type StepEnded, standing } from './progress.ts';

export interface JobView {
  readonly title: string;
  readonly version: string;
  readonly result: ProcedureDescription['result'];
  readonly cautions: readonly string[];
  readonly paused: boolean;
  readonly engine: Progress['engine'];
  readonly steps: readonly StepView[];
  /** Null once all steps are done: the job may be closed. */
  readonly now: NowView | null;
  readonly entries: readonly Entered[];
  /** What those entries were asked for as. */
  readonly asked: readonly AskedValue[];
  /** Those that stand, corrections in their places. */
  readonly amounts: readonly AmountMade[];
  /** Every amount as it was told, those corrected since too. */
  readonly told: readonly AmountMade[];
  /** All that the procedure measures with. */
  readonly measures: readonly MeasureDescription[];
  readonly filledL: number;
  /** What the refill plan says, L at `pourC`; null while nothing was drained. */
  readonly refill: { readonly litres: number; readonly uLitres: number; readonly pourC: number } | null;
  readonly balance: Balance | null;
  /** Share of fresh fluid once the machine has run; null while it is not told how much it holds. */
  readonly fresh: { readonly share: number; readonly u: number } | null;
}

export interface StepView {
  readonly id: string;
  readonly title: string;
  readonly kind: StepDescription['kind'];
  readonly state: 'done' | 'skipped' | 'now' | 'ahead';
  /** Times that it was come to. */
  readonly rounds: number;
  /** How it ended last; null where it is still ahead, or the job went back to it. */
  readonly ended: StepEnding | null;
}

export type StepEnding = Pick<StepEnded, 'event' | 'actor' | 'words'>;

export interface NowView {
  readonly step: string;
  readonly title: string;
  readonly kind: StepDescription['kind'];
  readonly words: string | null;
  readonly cautions: readonly string[];
  readonly optional: boolean;
  readonly round: number;
  readonly blocked: readonly Block[];
  readonly holds: readonly HoldDescription[];
  readonly ticks: readonly { readonly id: string; readonly words: string; readonly done: boolean }[];
  readonly note: boolean;
  readonly photo: boolean;
  readonly asks: readonly (AskedValue & { readonly entered: number | string | null })[];
  readonly answers: readonly { readonly id: string; readonly words: string }[];
  /** Gates waited for; empty for all of them, or where nothing is waited for. */
  readonly gates: readonly GateId[];
  readonly measures: readonly MeasureDescription[];
  /** Which way a dose goes; null where the step is none. */
  readonly way: 'in' | 'out' | 'either' | null;
  readonly several: boolean;
  /** °C that is proposed for what is measured; null: as warm as the fluid. */
  readonly proposedC: number | null;
  readonly advice: Advice | null;
}

export function jobView(now: Blocking & { readonly lastReading: Reading | null }): JobView {
  const { bench, procedure, progress, levelC } = now;
  const { title, version, result, cautions, steps } = procedure;
  const plan = refillOf(bench, procedure, progress, levelC);
  const fresh = freshOf(bench, procedure, progress, levelC);
  return {
    ...{ title, version, result, cautions },
    ...{ paused: progress.paused, engine: progress.engine },
    steps: steps.map((step) => stepView(step, progress)),
    now: nowView(now),
    entries: progress.entries,
    asked: askedOf(procedure, progress),
    amounts: standing(progress),
    told: progress.amounts,
    measures: procedure.measures,
    filledL: filledL(bench, progress),
    refill: plan?.inRange ? { litres: plan.litres, uLitres: plan.uLitres, pourC: plan.pourC } : null,
    balance: progress.balance,
    fresh: fresh && { share: fresh.share, u: fresh.u },
  };
}

function stepView({ id, title, kind }: StepDescription, { at, ended }: Progress): StepView {
  const times = ended.filter(({ step }) => step === id);
  const last = times.at(-1);
  const state =
    at === id
      ? 'now'
      : last === undefined || last.how === 'back'
        ? 'ahead'
        : last.how === 'skipped'
          ? 'skipped'
          : 'done';
  const ending =
    last === undefined || (state !== 'done' && state !== 'skipped')
      ? null
      : { event: last.event, actor: last.actor, words: last.words };
  return { id, title, kind, state, rounds: times.length + (at === id ? 1 : 0), ended: ending };
}

function askedOf({ steps }: ProcedureDescription, { entries }: Progress): AskedValue[] {
  const entered = new Set(entries.map(({ name }) => name));
  return steps.flatMap((step) => (step.kind === 'enter' ? step.asks.filter(({ name }) => entered.has(name)) : []));
}

function nowView(now: Blocking): NowView | null {
  const { procedure, progress } = now;
  const step = procedure.steps.find(({ id }) => id === progress.at);
  if (step === undefined) return null;
  const dose = step.kind === 'dose' ? step : null;
  return {
    ...{ step: step.id, title: step.title, kind: step.kind, words: step.words },
    ...{ cautions: step.cautions, optional: step.optional, round: progress.round },
    blocked: blocksOf(step, now),
    holds: procedure.holds.filter(({ during }) => during.includes(step.id)),
    ticks: step.kind === 'confirm' ? step.ticks.map((one) => ({ ...one, done: progress.ticks.includes(one.id) })) : [],
    note: step.kind === 'confirm' && step.note,
    photo: step.kind === 'confirm' && step.photo,
    asks: step.kind === 'enter' ? step.asks.map((ask) => ({ ...ask, entered: enteredHere(progress, ask) })) : [],
    answers: step.kind === 'ask' ? step.answers.map(({ id, words }) => ({ id, words })) : [],
    gates: step.kind === 'wait' ? step.gates : [],
    measures: dose === null ? [] : procedure.measures.filter(({ id }) => dose.measures.includes(id)),
    way: dose === null ? null : dose.way === 'advice' ? 'either' : dose.way,
    several: dose?.several ?? false,
    proposedC: dose?.way === 'in' ? freshC(procedure, progress) : null,
    advice: progress.advice,
  };
}

/** Since the job came to the step. */
function enteredHere({ entries, since }: Progress, { name }: AskedValue): number | string | null {
  return entries.findLast((one) => one.name === name && one.event > since.event)?.value ?? null;
}
