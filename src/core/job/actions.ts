/** What people do with a job: refused with a reason where the step forbids it, corrected by new entries, never erased. */

import type { Ledger } from '../ledger.ts';
import type { ActionBody, Refusal } from '../requests.ts';
import type { State } from '../state.ts';
import { breakOff } from '../steadiness.ts';
import { U_POURED_K } from './accounts.ts';
import { advise, arrive, blocks, endEntering, endStep, type OpenJob, openJob, stepAt, tellBalance } from './advance.ts';
import { typeAfter } from './learned.ts';
import {
  type AskedValue,
  MEASURE_KINDS,
  type MeasureDescription,
  type ProcedureDescription,
  type StepDescription,
} from './procedure.ts';
import { type AmountMade, entryOf } from './progress.ts';

export type JobAction = Extract<
  ActionBody,
  {
    type:
      | 'confirm'
      | 'enter'
      | 'record-amount'
      | 'answer'
      | 'skip-step'
      | 'go-back'
      | 'engine'
      | 'pause-job'
      | 'resume-job';
  }
>;

type Of<T extends JobAction['type']> = Extract<JobAction, { type: T }>;

/** A job without a procedure can be measured at too: by hand, in litres. */
const BY_HAND: MeasureDescription = {
  ...{ id: 'hand', words: 'told by hand', by: 'hand', unit: 'L' },
  ...{ step: 0.01, uShare: 0.02, uEach: 0.02 },
};
/** No temperature of a fluid lies beyond, °C. */
const FLUID_C = { low: -40, high: 200 };
/** More than this comes out of no machine that is served like this, in L or kg. */
const MOST_AMOUNT = 2000;

export function refuseJobAction(state: State, body: JobAction): Refusal | null {
  if (state.carried.job === null) return 'no-job';
  const open = openJob(state);
  if (open === null) return 'no-procedure';
  if (body.type === 'resume-job') return open.progress.paused ? null : 'not-paused';
  if (open.progress.paused) return 'paused';
  const step = stepAt(open);
  switch (body.type) {
    case 'confirm':
      return refuseConfirm(state, open, body);
    case 'answer':
      if (step?.id !== body.step) return 'other-step';
      if (step.kind !== 'ask') return 'step-forbids';
      if (!step.answers.some(({ id }) => id === body.answer)) return 'no-such-answer';
      return blocks(state, open, step).length > 0 ? 'blocked' : null;
    case 'enter':
      return refuseEntry(open, body);
    case 'record-amount':
      return refuseAmount(open, body);
    case 'skip-step':
      if (step?.id !== body.step) return 'other-step';
      return step.optional || body.reason.trim() !== '' ? null : 'reason-missing';
    case 'go-back':
      if (!open.progress.ended.some((one) => one.step === body.to) || !has(open.procedure, body.to))
        return 'no-such-step';
      return body.reason.trim() === '' ? 'reason-missing' : null;
    case 'engine':
    case 'pause-job':
      return null;
  }
}

function has({ steps }: ProcedureDescription, id: string): boolean {
  return steps.some((step) => step.id === id);
}

function refuseConfirm(state: State, open: OpenJob, body: Of<'confirm'>): Refusal | null {
  const step = stepAt(open);
  if (step?.id !== body.step) return 'other-step';
  if (step.kind === 'confirm') {
    const known = step.ticks.map(({ id }) => id);
    if (!body.ticks.every((id) => known.includes(id))) return 'no-such-tick';
    // Ticking is free; the last tick finishes the step.
    const all = known.every((id) => body.ticks.includes(id) || open.progress.ticks.includes(id));
    return all && blocks(state, open, step).length > 0 ? 'blocked' : null;
  }
  if (blocks(state, open, step).length > 0) return 'blocked';
  if (step.kind === 'dose') return null;
  if (step.kind === 'enter') return missing(open, step).length === 0 ? null : 'entries-missing';
  return 'step-forbids';
}

/** Required values of the step that were not entered since the job came to it. */
function missing({ progress }: OpenJob, step: StepDescription): string[] {
  if (step.kind !== 'enter') return [];
  return step.asks
    .filter(({ required, name }) => required && (entryOf(progress, name)?.event ?? 0) <= progress.since.event)
    .map(({ name }) => name);
}

function refuseEntry(open: OpenJob, body: Of<'enter'>): Refusal | null {
  const asked = askedFor(open.procedure, body.name);
  if (asked === null) return 'no-such-entry';
  const here = stepAt(open);
  const before = entryOf(open.progress, body.name);
  // What was entered may be corrected at any time; what was not is entered where the procedure asks for it.
  const asksHere = here?.kind === 'enter' && here.asks.some(({ name }) => name === body.name);
  if (!asksHere && before === null) return 'other-step';
  if (
    body.corrects !== undefined &&
    !open.progress.entries.some(({ event, name }) => event === body.corrects && name === body.name)
  )
    return 'no-such-entry';
  if (!fits(asked, body.value)) return 'out-of-range';
  if (mismatches(open, asked, body.value) && (body.override ?? '').trim() === '') return 'mismatch';
  return null;
}

export function askedFor({ steps }: ProcedureDescription, name: string): AskedValue | null {
  for (const step of steps)
    if (step.kind === 'enter') {
      const found = step.asks.find((ask) => ask.name === name);
      if (found !== undefined) return found;
    }
  return null;
}

function fits(asked: AskedValue, value: number | string): boolean {
  switch (asked.of) {
    case 'quantity':
      return typeof value === 'number' && value >= asked.low && value <= asked.high;
    case 'text':
      return typeof value === 'string' && value.trim() !== '';
    case 'choice':
      return typeof value === 'string' && asked.choices.includes(value);
  }
}

/** Case, blanks and hyphens aside. */
function mismatches({ progress }: OpenJob, asked: AskedValue, value: number | string): boolean {
  if (asked.of !== 'text' || asked.sameAs === null) return false;
  const expected = entryOf(progress, asked.sameAs)?.value;
  return expected !== undefined && plainText(expected) !== plainText(value);
}

function plainText(value: number | string): string {
  return String(value)
    .normalize('NFKC')
    .toLowerCase()
    .replace(/[\s\-_./]+/g, '');
}

function refuseAmount(open: OpenJob, body: Of<'record-amount'>): Refusal | null {
  const { amount, tC, kind, corrects } = body;
  const { progress } = open;
  if (!(amount >= 0 && amount <= MOST_AMOUNT && tC >= FLUID_C.low && tC <= FLUID_C.high)) return 'out-of-range';
  if (measureNamed(open.procedure, body.measure) === null) return 'no-such-measure';
  if (corrects !== undefined)
    return progress.amounts.some((one) => one.event === corrects && one.kind === kind) ? null : 'no-such-entry';
  if (amount === 0) return 'out-of-range';
  if (kind === 'spilled' || kind === 'left') return null;
  const step = stepAt(open);
  if (step?.kind !== 'dose') return 'step-forbids';
  if (step.way !== 'advice' && step.way !== kind) return 'step-forbids';
  return step.measures.includes(body.measure) ? null : 'no-such-measure';
}

function measureNamed({ measures }: ProcedureDescription, id: string): MeasureDescription | null {
  return measures.find((one) => one.id === id) ?? (id === MEASURE_KINDS[3] ? BY_HAND : null);
}

export function doJobAction(state: State, body: JobAction, actor: string, ledger: Ledger): void {
  const open = openJob(state);
  if (open === null) return;
  const step = stepAt(open);
  switch (body.type) {
    case 'confirm':
      if (step !== null) confirm(state, open, step, body, actor, ledger);
      return;
    case 'answer': {
      const answer = step?.kind === 'ask' ? step.answers.find(({ id }) => id === body.answer) : undefined;
      if (step === null || answer === undefined) return;
      const goTo = answer.goTo === null ? {} : { goTo: answer.goTo };
      endStep(state, step, { actor, answer: answer.id, words: body.note ?? answer.words, ...goTo }, ledger);
      return;
    }
    case 'enter': {
      const { name, value, override = null, corrects = entryOf(open.progress, name)?.event ?? null } = body;
      const asked = askedFor(open.procedure, name);
      const overridden = asked !== null && mismatches(open, asked, value) ? override : null;
      ledger.decide({ kind: 'entered', name, value, actor, override: overridden, corrects });
      advise(state, ledger);
      return;
    }
    case 'record-amount':
      recordAmount(state, open, body, actor, ledger);
      return;
    case 'skip-step':
      if (step !== null) endStep(state, step, { how: 'skipped', actor, words: body.reason }, ledger);
      return;
    case 'go-back':
      if (step !== null) endStep(state, step, { how: 'back', actor, words: body.reason, goTo: body.to }, ledger);
      else reopen(state, open, body, actor, ledger);
      return;
    case 'engine':
      ledger.decide({ kind: 'engine', running: body.running, actor });
      // What was calm before says nothing of after.
      breakOff(state.steadiness);
      return;
    case 'pause-job':
    case 'resume-job': {
      const { job } = state.carried;
      const change = body.type === 'pause-job' ? ('paused' as const) : ('resumed' as const);
      if (job !== null)
        ledger.decide({ kind: 'job', change, job, reason: body.type === 'pause-job' ? body.reason : null });
      if (change === 'resumed') arrive(state, ledger);
      return;
    }
  }
}

/** All steps were done: the last of them stands for the way back. */
function reopen(
  state: State,
  { progress }: OpenJob,
  body: { to: string; reason: string },
  actor: string,
  ledger: Ledger,
) {
  const last = progress.ended.at(-1)?.step ?? body.to;
  ledger.decide({
    ...{ kind: 'step', step: last, how: 'back', next: body.to, actor, words: body.reason, answer: null, photos: [] },
    ...{ engine: null, temperatureC: null },
  });
  arrive(state, ledger);
}

function confirm(
  state: State,
  open: OpenJob,
  step: StepDescription,
  { ticks, note, photos = [] }: Of<'confirm'>,
  actor: string,
  ledger: Ledger,
): void {
  if (step.kind === 'enter') {
    endEntering(state, open, step, actor, ledger);
    return;
  }
  if (step.kind === 'confirm') {
    const all = step.ticks.map(({ id }) => id).filter((id) => ticks.includes(id) || open.progress.ticks.includes(id));
    if (all.length < step.ticks.length) {
      ledger.decide({ kind: 'ticked', step: step.id, ticks: all });
      return;
    }
  }
  endStep(state, step, { actor, words: note ?? null, photos }, ledger);
}

function recordAmount(state: State, open: OpenJob, body: Of<'record-amount'>, actor: string, ledger: Ledger): void {
  const measure = measureNamed(open.procedure, body.measure);
  const step = stepAt(open);
  if (measure === null) return;
  const { kind, amount, tC, corrects = null } = body;
  const corrected = open.progress.amounts.find(({ event }) => event === corrects);
  const made: Omit<AmountMade, 'event'> = {
    step: corrected === undefined ? (step?.id ?? null) : corrected.step,
    ...{ kind, amount, unit: measure.unit, measure: measure.id, uShare: measure.uShare, uEach: measure.uEach },
    ...{ tC, uTemperatureK: U_POURED_K, actor, corrects },
    afterReading: corrected === undefined ? state.carried.lastReadingId : corrected.afterReading,
  };
  ledger.decide({ kind: 'amount', made });
  // What was calm before fluid moved says nothing of after.
  if (corrected === undefined && (kind === 'in' || kind === 'out')) breakOff(state.steadiness);
  if (corrected !== undefined) {
    advise(state, ledger);
    tellBalance(state, ledger);
  } else if (step?.kind === 'dose' && !step.several && (kind === 'in' || kind === 'out')) {
    const now = openJob(state);
    if (now !== null && blocks(state, now, step).length === 0) endStep(state, step, { actor }, ledger);
  }
}

/** What the end of a job leaves behind, told before it is closed. */
export function tellEnd(state: State, ledger: Ledger): void {
  const open = openJob(state);
  const { carried, bench } = state;
  tellBalance(state, ledger);
  const name = carried.job?.machineType ?? null;
  if (open === null || name === null) return;
  const machineType = typeAfter(name, carried.machineTypes[name], {
    ...open,
    ...{ bench, readings: carried.jobReadings, target: carried.target },
    slope: carried.learnedInJob,
  });
  if (machineType !== null) ledger.decide({ kind: 'machine-type', machineType });
}

/** Steps that are still to come, optional ones aside. */
export function stepsLeft(state: State): boolean {
  return (openJob(state)?.progress.at ?? null) !== null;
}
