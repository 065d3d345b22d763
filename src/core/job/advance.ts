/** Moves a job on by itself where a step asks for nothing of a person any more: a gate opened, a reading came, a verdict fell. */
import { brokenHolds } from '../alarms/on-watch.ts';
import type { GateId } from '../events.ts';
import type { Ledger } from '../ledger.ts';
import type { State } from '../state.ts';
import { breakOff } from '../steadiness.ts';
import { balanceOf, numberMeant } from './accounts.ts';
import { adviceFor } from './advice.ts';
import { type Block, blocksOf, standsStill } from './blocked.ts';
import type { ProcedureDescription, StepDescription } from './procedure.ts';
import { entryOf, type Progress, type StepOutcome } from './progress.ts';

/** A procedure whose steps lead in a circle without a person is stopped here; the check of its file refuses it before. */
const MOST_MOVES = 20;

export interface OpenJob {
  readonly procedure: ProcedureDescription;
  readonly progress: Progress;
}

/** The job that is open, where it follows a procedure. */
export function openJob({ carried }: Pick<State, 'carried'>): OpenJob | null {
  const { job, procedure, progress } = carried;
  return job === null || procedure === null || progress === null ? null : { procedure, progress };
}

export function stepAt({ procedure, progress }: OpenJob): StepDescription | null {
  return procedure.steps.find(({ id }) => id === progress.at) ?? null;
}

const WAITS_FOR_A_PERSON: readonly StepDescription['kind'][] = ['confirm', 'ask'];

/** The engine of the job stands still: what is read now counts for nothing. */
export function stillEngine(state: Pick<State, 'carried'>): boolean {
  const open = openJob(state);
  return open !== null && standsStill(open.procedure, open.progress);
}

/** A reading is taken by itself only where the procedure asks for one. */
export function readsByItself(state: State): boolean {
  const open = openJob(state);
  if (open === null) return true;
  const step = stepAt(open);
  return step?.kind === 'read' && blocks(state, open, step).length === 0;
}

export function advance(state: State, ledger: Ledger): void {
  for (let moves = 0; moves < MOST_MOVES; moves++) {
    const open = openJob(state);
    const step = open && stepAt(open);
    if (open === null || step === null || WAITS_FOR_A_PERSON.includes(step.kind)) return;
    // All but gates move by an outcome.
    if (step.kind !== 'wait' && !ledger.decided) return;
    if (blocks(state, open, step).length > 0 || !passed(state, open, step, ledger)) return;
  }
}

export function blocks(state: State, { procedure, progress }: OpenJob, step: StepDescription): Block[] {
  return blocksOf(step, {
    ...{ bench: state.bench, procedure, progress, levelC: levelC(state) },
    gateOpen: (gate) => isOpen(state, gate),
    broken: brokenHolds(state),
  });
}

/** °C that the levels of the job stand for. */
export function levelC({ carried, bench }: State): number {
  return carried.job?.referenceC ?? bench.measure.referenceC;
}

function isOpen(state: State, gate: GateId): boolean {
  return state.open[gate];
}

/** Whether the step ended without a person. */
function passed(state: State, open: OpenJob, step: StepDescription, ledger: Ledger): boolean {
  const { progress } = open;
  const { carried } = state;
  switch (step.kind) {
    case 'wait': {
      const open = step.gates.length === 0 ? state.ready : step.gates.every((gate) => isOpen(state, gate));
      if (open) endStep(state, step, { words: null }, ledger);
      return open;
    }
    case 'read': {
      const { lastReading } = carried;
      if (lastReading === null || lastReading.id <= progress.since.reading) return false;
      if (step.target && state.bench.measure.match !== null)
        ledger.decide({ kind: 'target', target: { from: 'reading', reading: lastReading.id } });
      tellBalance(state, ledger);
      endStep(state, step, { words: `Reading No. ${lastReading.id}` }, ledger);
      return true;
    }
    case 'zero':
      if ((carried.zero?.checks.length ?? 0) <= progress.since.zeroChecks) return false;
      endStep(state, step, { words: null }, ledger);
      return true;
    case 'enter': {
      const all = step.asks.every(({ name }) => (entryOf(progress, name)?.event ?? 0) > progress.since.event);
      if (all) endEntering(state, open, step, null, ledger);
      return all;
    }
    case 'decide': {
      const { lastVerdict: verdict, lastReading } = carried;
      if (verdict === null || verdict.reading !== lastReading?.id) return false;
      const good = verdict.result === 'within' || verdict.accepted !== null;
      const off = verdict.result === 'below' || verdict.result === 'above';
      if (!good && !off && !(verdict.result === 'undecided' && worthAnother(state, open, step.otherwise))) return false;
      endStep(state, step, { words: verdict.words, ...(good ? {} : { goTo: step.otherwise }) }, ledger);
      return true;
    }
    case 'dose': {
      // Accepted while a dose was proposed: the job goes on as if it had been judged so.
      const { lastVerdict: verdict, lastReading } = carried;
      const judge = open.procedure.steps.find((one) => one.kind === 'decide' && one.otherwise === step.id);
      if (judge === undefined || verdict?.accepted == null || verdict.reading !== lastReading?.id) return false;
      endStep(state, step, { how: 'skipped', words: verdict.words, goTo: following(open, judge) }, ledger);
      return true;
    }
    case 'confirm':
    case 'ask':
      return false;
  }
}

/** Adjustments after which an undecided level is left to the person. */
const MOST_ADJUSTMENTS = 3;

/** A level that this bench cannot settle is dosed for once more where that brings it nearer. */
function worthAnother(state: State, { procedure, progress }: OpenJob, otherwise: string): boolean {
  const step = procedure.steps.find(({ id }) => id === otherwise);
  if (step?.kind !== 'dose' || step.way !== 'advice') return false;
  if (progress.ended.filter(({ step: id }) => id === otherwise).length >= MOST_ADJUSTMENTS) return false;
  const { bench, carried } = state;
  const now = { bench, procedure, progress, readings: carried.jobReadings, target: carried.target };
  const advice = adviceFor(now, step, levelC(state));
  return advice !== null && advice.way !== 'nothing';
}

function following({ procedure: { steps } }: OpenJob, { id, goesOn }: StepDescription): string | null {
  return goesOn ?? steps[steps.findIndex((step) => step.id === id) + 1]?.id ?? null;
}

/** An entry may be the level to be matched. */
export function endEntering(
  state: State,
  { procedure, progress }: OpenJob,
  step: StepDescription,
  actor: string | null,
  ledger: Ledger,
): void {
  const means = step.kind === 'enter' ? step.asks.map((ask) => ask.means) : [];
  const levelMm = numberMeant(procedure, progress, 'target-level');
  if (means.includes('target-level') && levelMm !== null && state.bench.measure.match !== null) {
    const uMm = numberMeant(procedure, progress, 'target-uncertainty') ?? 0;
    ledger.decide({ kind: 'target', target: { from: 'level', levelMm, uMm } });
  }
  endStep(state, step, { actor }, ledger);
}

type Ending = Partial<Pick<StepOutcome, 'how' | 'actor' | 'words' | 'answer' | 'photos'>> & {
  readonly goTo?: string | null;
};

export function endStep(state: State, step: StepDescription, ending: Ending, ledger: Ledger): void {
  const open = openJob(state);
  if (open === null) return;
  const { how = 'done', actor = null, words = null, answer = null, photos = [], goTo } = ending;
  const engine = how !== 'done' || step.engine === null ? null : step.engine === 'starts' ? 'running' : 'stopped';
  ledger.decide({
    ...{
      kind: 'step',
      step: step.id,
      how,
      next: goTo === undefined ? following(open, step) : goTo,
      actor,
      words,
      answer,
      photos,
      engine,
    },
    temperatureC: temperatureNow(state),
  });
  if (engine !== null) breakOff(state.steadiness);
  arrive(state, ledger);
}

/** What a step brings along when the job comes to it. */
export function arrive(state: State, ledger: Ledger): void {
  const open = openJob(state);
  const step = open && stepAt(open);
  if (open === null || step === null) return;
  // What was read before this step does not stand for it.
  if (step.kind === 'read') state.spellRead = false;
  if (step.kind === 'dose') advise(state, ledger);
}

/** Works out the amount of the dose that the job is at; again when what it rests on was corrected. */
export function advise(state: State, ledger: Ledger): void {
  const open = openJob(state);
  const step = open && stepAt(open);
  if (open === null || step?.kind !== 'dose') return;
  const { bench, carried } = state;
  const now = { bench, ...open, readings: carried.jobReadings, target: carried.target };
  const advice = adviceFor(now, step, levelC(state));
  if (advice !== null) ledger.decide({ kind: 'advice', advice });
}

export function tellBalance(state: State, ledger: Ledger): void {
  const open = openJob(state);
  const last = state.carried.jobReadings.at(-1);
  if (open === null || last === undefined) return;
  const balance = balanceOf(state.bench, open.progress, last);
  if (balance !== null) ledger.decide({ kind: 'balance', balance });
}

function temperatureNow({ channels, bench }: State): number | null {
  const channel = channels[bench.measure.temperatureChannel];
  return channel === undefined || channel.goodUs === null || channel.stale ? null : channel.good;
}
