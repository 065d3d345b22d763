/** A procedure file without mistakes, as the description that the job works with. */
import type { QuantityKind } from '../core/description.ts';
import type {
  AskedValue,
  HoldDescription,
  MeasureDescription,
  Need,
  ProcedureDescription,
  StepDescription,
} from '../core/job/procedure.ts';
import { quantityOfKind } from './channel-schema.ts';
import type { Answer, DoseMeasure, Entry, Hold, Named, ProcedureDraft, Step, StepDraft } from './procedure-draft.ts';
import { properId } from './schema.ts';
import type { Kind } from './units.ts';

/** Of a draft in which nothing was found. */
export function resolveProcedure(draft: ProcedureDraft, digest: string): ProcedureDescription {
  const head = draft.head as Required<ProcedureDraft['head']>;
  return {
    id: given(head.procedure),
    title: given(head.title),
    version: given(head.version),
    digest,
    purpose: given(head.purpose),
    cautions: given(head.cautions),
    result: given(head.result),
    fields: draft.fields.map(({ id, keys }) => ({ id, words: given(keys.ask), required: given(keys.required) })),
    measures: draft.measures.map(({ id, keys }) => measureOf(id, keys as DoseMeasure)),
    allowances: given(head.allowances).map((one) => ({
      what: one.for,
      litres: one.amount,
      uLitres: one.uncertainty,
    })),
    holds: draft.holds.map(({ id, keys }) => holdOf(id, keys as Hold)),
    steps: draft.steps.map(stepOf),
  };
}

function measureOf(id: string, { name, by, step, uncertainty, each }: DoseMeasure): MeasureDescription {
  return {
    id,
    words: name,
    by,
    unit: step.kind === 'mass' ? 'kg' : 'L',
    step: step.value,
    uShare: plain(uncertainty),
    // A display in steps is off by up to half of one, evenly spread.
    uEach: each?.value ?? step.value / Math.sqrt(12),
  };
}

function holdOf(
  id: string,
  { channel, below, above, deadband, 'on-delay': onDelay, say, during }: Hold,
): HoldDescription {
  const limit = given(below ?? above);
  return {
    id,
    channel,
    quantity: quantityOf(limit.kind),
    side: below === undefined ? 'above' : 'below',
    limit: limit.value,
    deadband: deadband?.value ?? 0,
    onDelayUs: onDelay,
    words: say,
    during,
  };
}

function stepOf(draft: StepDraft): StepDescription {
  const keys = draft.keys as Step;
  const common = {
    id: keys.step,
    title: keys.title,
    words: keys.say ?? null,
    cautions: keys.cautions,
    needs: needsOf(keys.needs),
    engine: keys.engine ?? null,
    optional: keys.optional,
    goesOn: keys['go-to'] ?? null,
  };
  if (keys.tick !== undefined)
    return { ...common, kind: 'confirm', ticks: ticksOf(keys.tick), note: keys.note, photo: keys.photo };
  if (keys.enter !== undefined) return { ...common, kind: 'enter', asks: draft.entries.map(askedOf) };
  if (keys['wait-for'] !== undefined) return { ...common, kind: 'wait', gates: keys['wait-for'] };
  if (keys.read !== undefined) return { ...common, kind: 'read', target: keys.read === 'target' };
  if (keys.dose !== undefined) {
    const { way, plan, several, with: measures } = keys.dose;
    return { ...common, kind: 'dose', way, plan: plan ?? null, several, measures };
  }
  if (keys.zero !== undefined) return { ...common, kind: 'zero' };
  if (keys.decide !== undefined) return { ...common, kind: 'decide', otherwise: keys.decide.otherwise };
  return { ...common, kind: 'ask', answers: draft.answers.map(answerOf) };
}

/** Ticks are known by their words, so that a list may be sorted anew without one standing for another. */
function ticksOf(words: readonly string[]): { id: string; words: string }[] {
  const taken = new Set<string>();
  return words.map((line, index) => {
    const id = properId(line) ?? `tick-${index + 1}`;
    const free = taken.has(id) ? `${id.slice(0, 36)}-${index + 1}` : id;
    taken.add(free);
    return { id: free, words: line };
  });
}

function needsOf(needs: Step['needs']): Need[] {
  const { filled, gate = [], entered = [] } = needs ?? {};
  return [
    ...(filled === undefined
      ? []
      : [
          filled.kind === 'share'
            ? ({ kind: 'filled-share', share: plain(filled.value) } as const)
            : ({ kind: 'filled', litres: filled.value } as const),
        ]),
    ...gate.map((one) => ({ kind: 'gate', gate: one }) as const),
    ...entered.map((name) => ({ kind: 'entered', name }) as const),
  ];
}

function askedOf({ id, keys }: Named<Entry>): AskedValue {
  const { ask, range, choices, required, means, 'same-as': sameAs } = keys as Entry;
  const common = { name: id, words: ask, required, means: means ?? null };
  if (range !== undefined)
    return { ...common, of: 'quantity', quantity: quantityOf(range.kind), low: range.low, high: range.high };
  if (choices !== undefined) return { ...common, of: 'choice', choices };
  return { ...common, of: 'text', sameAs: sameAs ?? null };
}

function answerOf({ id, keys }: Named<Answer>): { id: string; words: string; goTo: string | null } {
  const { answer, 'go-to': goTo } = keys as Answer;
  return { id, words: answer, goTo: goTo ?? null };
}

function quantityOf(kind: Kind): QuantityKind {
  return given(quantityOfKind(kind));
}

/** A share in % comes with the last bits of a multiplication. */
function plain(share: number): number {
  return Math.round(share * 1e9) / 1e9;
}

function given<T>(value: T | null | undefined): T {
  if (value === undefined || value === null) throw new TypeError('a procedure with a missing part passed the checks');
  return value;
}
