/** The steps of a procedure file, key by key. */
import { z } from 'zod';
import { GATE_IDS, type GateId } from '../core/events.ts';
import { MEANINGS } from '../core/job/procedure.ts';
import { VALUE_KINDS } from './channel-schema.ts';
import { key, measured, understood, word } from './fields.ts';
import {
  allowanceSchema,
  cautionsSchema,
  doseMeasureSchema,
  fieldSchema,
  holdSchema,
  ourName,
  procedureSchema,
  prose,
  yes,
} from './procedure-schema.ts';
import { readSpan, type Span, type Understood } from './quantities.ts';
import { ID_FORM } from './schema.ts';
import type { Kind } from './units.ts';

export interface KindSpan extends Span {
  readonly kind: Kind;
}

const anySpan = understood('a span such as "20 mm to 90 mm"', (text): Understood<KindSpan> => {
  const tries = VALUE_KINDS.map((kind) => ({ kind, read: readSpan(text, kind) }));
  const { kind, read } = (tries.find((one) => one.read.ok) ?? tries[0]) as (typeof tries)[number];
  return read.ok ? { ok: true, value: { kind, ...read.value } } : read;
});

/** A list, or its only member by itself. */
function listed<T>(member: z.ZodType<T>): z.ZodType<readonly T[]> {
  return z.union([member.transform((one) => [one]), z.array(member).min(1)]);
}

const gate = word(...GATE_IDS);
const READY = 'ready';
const gates = z
  .union([word(READY, ...GATE_IDS).transform((one) => [one]), z.array(gate).min(1)])
  .transform((list) => list.flatMap((one): GateId[] => (one === READY ? [] : [one])));

const GATE_FORM = `one of ${GATE_IDS.join(', ')}, or a list of them`;

export const entrySchema = z.strictObject({
  ask: key(prose(200), {
    meaning: 'What is to be entered, in words.',
    form: 'a text of at most 200 characters',
    example: 'Fluid temperature at the plug',
  }),
  range: key(anySpan.optional(), {
    meaning: 'Makes it a quantity, within what is plausible: what lies outside is refused as a slip of the keys.',
    form: 'a span with a unit of temperature, length, pressure, voltage, humidity or volume',
    example: '5 °C to 120 °C',
    otherwise: 'a text is entered, or one of the choices',
  }),
  choices: key(z.array(prose(80)).min(2).optional(), {
    meaning: 'What can be chosen.',
    form: 'a list of texts, two at least',
    example: '[clear, dark, burnt]',
    otherwise: 'a text is entered, or a quantity',
  }),
  'same-as': key(z.string().optional(), {
    meaning:
      'The name of an entry before: this one must say the same, case and blanks aside. Another one blocks the job until a person gives a reason.',
    form: 'the name of a text entered before',
    example: 'required-fluid',
    otherwise: 'any text',
  }),
  required: key(z.boolean().prefault(true), {
    meaning: 'Whether the step can be finished without it.',
    form: 'true or false',
    example: 'false',
  }),
  means: key(word(...MEANINGS).optional(), {
    meaning:
      'What it is used for besides the record: the level to be matched and its standard uncertainty, all the fluid that the machine holds, how warm the new fluid is when it is poured, how warm the fluid was at the lip and how much came out.',
    form: MEANINGS.join(', '),
    example: 'target-level',
    otherwise: 'it is for the record',
  }),
});

export const answerSchema = z.strictObject({
  answer: key(prose(160), {
    meaning: 'The answer in words.',
    form: 'a text of at most 160 characters',
    example: 'Nothing came out',
  }),
  'go-to': key(z.string().optional(), {
    meaning: 'The step that follows on this answer.',
    form: 'the name of a step',
    example: 'add',
    otherwise: 'where the step goes on',
  }),
});

export const doseSchema = z.strictObject({
  way: key(word('in', 'out', 'advice'), {
    meaning:
      'Whether fluid is poured in or drained; `advice`: which of them, and how much, as worked out from the last reading.',
    form: 'in, out or advice',
    example: 'out',
  }),
  plan: key(word('refill').optional(), {
    meaning:
      'Of fluid poured in: as much as was drained, brought to the temperature of the new fluid, and the allowances.',
    form: 'refill',
    example: 'refill',
    otherwise: 'the person says how much',
  }),
  several: key(yes(), {
    meaning: 'Whether it may be made up of several amounts; the person says when that is all.',
    form: 'true or false',
    example: 'true',
  }),
  with: key(z.array(z.string()).min(1), {
    meaning: 'The measures that it may be measured by; the first is proposed.',
    form: 'a list of measures, one at least',
    example: '[scale, jug]',
  }),
});

const decideSchema = z.strictObject({
  otherwise: key(z.string(), {
    meaning: 'The step that follows when the level is not within the tolerance yet.',
    form: 'the name of a step',
    example: 'adjust',
  }),
});

const needsSchema = z.strictObject({
  filled: key(measured(['volume', 'share'], '3.5 L').optional(), {
    meaning: 'So much must have been poured in: litres, or a share of what the refill plan says.',
    form: 'a volume, or a share up to 100 %',
    example: '85 %',
    otherwise: 'no matter',
  }),
  gate: key(listed(gate).optional(), {
    meaning: 'These gates of readiness must be open.',
    form: GATE_FORM,
    example: 'window',
    otherwise: 'no matter',
  }),
  entered: key(listed(z.string()).optional(), {
    meaning: 'These must have been entered.',
    form: 'the name of an entry, or a list of them',
    example: 'batch',
    otherwise: 'no matter',
  }),
});

export const stepSchema = z.strictObject({
  step: key(ourName(), {
    meaning: 'The name of the step, for `go-to`, `otherwise` and `during`.',
    form: `a name: ${ID_FORM}`,
    example: 'drain',
  }),
  title: key(prose(100), {
    meaning: 'The step in a few words.',
    form: 'a text of at most 100 characters',
    example: 'Drain the old fluid',
  }),
  say: key(prose(1000).optional(), {
    meaning: 'How it is done.',
    form: 'a text of at most 1000 characters; > before it lets it run over several lines',
    example: 'Open the plug with the pan below it.',
    otherwise: 'the title is enough',
  }),
  cautions: key(cautionsSchema.prefault([]), {
    meaning: 'What can hurt here, and what keeps it from doing so. Shown before the words.',
    form: 'a list of texts',
    example: '["Hot fluid: gloves and eye protection."]',
  }),
  tick: key(z.array(prose(300)).min(1).optional(), {
    meaning: 'A tick list: each line is confirmed by the person who did it.',
    form: 'a list of texts, one at least',
    example: '[New seal fitted, Plug tightened to the figure of the maker]',
    otherwise: 'the step does something else',
  }),
  note: key(yes(), {
    meaning: 'Beside `tick`: asks for a note.',
    form: 'true or false',
    example: 'true',
  }),
  photo: key(yes(), {
    meaning: 'Beside `tick`: asks for a photo.',
    form: 'true or false',
    example: 'true',
  }),
  enter: key(z.record(z.string(), z.unknown()).optional(), {
    meaning: 'Quantities, texts and choices that a person enters.',
    form: `names of entries (${ID_FORM}) with their keys`,
    example: '{ batch: { ask: Batch on the label } }',
    otherwise: 'the step does something else',
  }),
  'wait-for': key(gates.optional(), {
    meaning: 'Waits until these gates are open; `ready`: until a reading counts.',
    form: `ready, ${GATE_FORM}`,
    example: 'ready',
    otherwise: 'the step does something else',
  }),
  read: key(word('target', 'level').optional(), {
    meaning: 'Takes a reading. `target`: the ones after it are held against this one.',
    form: 'target or level',
    example: 'level',
    otherwise: 'the step does something else',
  }),
  dose: key(doseSchema.optional(), {
    meaning: 'Fluid is poured in or drained, and measured.',
    form: 'the keys way, plan, several, with',
    example: '{ way: out, with: [scale] }',
    otherwise: 'the step does something else',
  }),
  zero: key(z.literal(true).optional(), {
    meaning: 'The level sensor is checked on its block.',
    form: 'true',
    example: 'true',
    otherwise: 'the step does something else',
  }),
  decide: key(decideSchema.optional(), {
    meaning: 'Goes on when the last reading is within the tolerance, else to another step.',
    form: 'the key otherwise',
    example: '{ otherwise: adjust }',
    otherwise: 'the step does something else',
  }),
  ask: key(z.record(z.string(), z.unknown()).optional(), {
    meaning: 'A person answers, and the answer may lead to another step.',
    form: `names of answers (${ID_FORM}) with their keys, two at least`,
    example: '{ stream: { answer: A stream }, nothing: { answer: Nothing, go-to: add } }',
    otherwise: 'the step does something else',
  }),
  needs: key(needsSchema.optional(), {
    meaning: 'What must be before the step may be finished; until then it says why not.',
    form: 'some of the keys filled, gate, entered',
    example: '{ filled: 85 % }',
    otherwise: 'nothing',
  }),
  engine: key(word('starts', 'stops').optional(), {
    meaning: 'What the engine or pump does once this step is done. After a stop nothing counts until it has run again.',
    form: 'starts or stops',
    example: 'starts',
    otherwise: 'nothing changes',
  }),
  'go-to': key(z.string().optional(), {
    meaning: 'The step at which the job goes on after this one: out of a loop, or back into it.',
    form: 'the name of a step',
    example: 'read-again',
    otherwise: 'the next one in the file',
  }),
  optional: key(yes(), {
    meaning: 'Whether it may be left out without a reason.',
    form: 'true or false',
    example: 'true',
  }),
});

/** What a step does: one of these keys. */
export const STEP_KEYS = ['tick', 'enter', 'wait-for', 'read', 'dose', 'zero', 'decide', 'ask'] as const;

/** Sections of the reference, in the order of the file. */
export const PROCEDURE_SECTIONS = [
  { title: 'The file', at: '', schema: procedureSchema },
  { title: 'A field', at: 'fields.<name>', schema: fieldSchema },
  { title: 'A measure', at: 'measures.<name>', schema: doseMeasureSchema },
  { title: 'An allowance', at: 'allowances', schema: allowanceSchema },
  { title: 'A hold', at: 'holds.<name>', schema: holdSchema },
  { title: 'A step', at: 'steps', schema: stepSchema },
  { title: 'What is entered', at: 'enter.<name>', schema: entrySchema },
  { title: 'A dose', at: 'dose', schema: doseSchema },
  { title: 'A decision', at: 'decide', schema: decideSchema },
  { title: 'An answer', at: 'ask.<name>', schema: answerSchema },
  { title: 'What must be before', at: 'needs', schema: needsSchema },
] as const;
