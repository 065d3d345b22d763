/**
 * A procedure file, key by key, but for its steps: what each means, which form it takes, what holds without it. The checks,
 * the messages and the reference in docs/procedures.md all come from here.
 */
import { z } from 'zod';
import { MEASURE_KINDS } from '../core/job/procedure.ts';
import { VALUE_KINDS } from './channel-schema.ts';
import { CONTROL, key, type Measured, measured, quantity, text, understood, word } from './fields.ts';
import { quote } from './mistake.ts';
import { readQuantity, type Understood } from './quantities.ts';
import { ID_FORM, isId, properId } from './schema.ts';
import type { Kind } from './units.ts';

/** Text that may run over several lines of the file; kept as one. */
export function prose(most: number): z.ZodType<string> {
  return z
    .string()
    .max(most)
    .transform((written) => written.replace(/\s*\n\s*/g, ' ').trim())
    .refine((words) => words !== '' && !CONTROL.test(words));
}

/** A name of the shop's own. Each key takes a schema of its own: its documentation hangs on it. */
export function ourName(): z.ZodType<string> {
  return understood(ID_FORM, (name): Understood<string> => {
    if (isId(name)) return { ok: true, value: name };
    return { ok: false, words: `${quote(name)} cannot be a name here`, nearest: properId(name) };
  });
}

/** A quantity of any kind that a channel can measure; its unit tells which. */
function anyOf(kinds: readonly Kind[], sample: string): z.ZodType<Measured> {
  return understood(`a quantity with its unit such as "${sample}"`, (written): Understood<Measured> => {
    const tries = kinds.map((kind) => ({ kind, read: readQuantity(written, kind) }));
    const good = tries.find(({ read }) => read.ok) ?? tries.find(({ read }) => !read.ok && read.nearest !== null);
    const { kind, read } = (good ?? tries[0]) as (typeof tries)[number];
    return read.ok ? { ok: true, value: { kind, value: read.value } } : read;
  });
}

/** `true`, or left out. */
export function yes() {
  return z.boolean().prefault(false);
}

export const cautionsSchema = z.array(prose(400));

export const fieldSchema = z.strictObject({
  ask: key(prose(120), {
    meaning: 'The words beside the field.',
    form: 'a text of at most 120 characters',
    example: 'Registration plate',
  }),
  required: key(yes(), {
    meaning: 'Whether a job can begin without it.',
    form: 'true or false',
    example: 'true',
  }),
});

/** A difference of temperatures is written in K. */
const DEADBANDS = VALUE_KINDS.map((kind) => (kind === 'temperature' ? 'difference' : kind));

export const doseMeasureSchema = z.strictObject({
  name: key(prose(80), {
    meaning: 'What it is called in the shop.',
    form: 'a text of at most 80 characters',
    example: 'Measuring jug',
  }),
  by: key(word(...MEASURE_KINDS), {
    meaning:
      'What it is: a jug or pump that is read in litres, a scale that shows mass, a flow meter, or the hand and eye.',
    form: 'jug, scale, meter or hand',
    example: 'jug',
  }),
  step: key(measured(['volume', 'mass'], '50 mL'), {
    meaning: 'The smallest amount that can be poured or told with it. A scale takes a mass, a jug a volume.',
    form: 'a volume or a mass above 0',
    example: '50 mL',
  }),
  uncertainty: key(quantity('share', { from: '0 %', to: '50 %' }, '1 %').prefault('1 %'), {
    meaning: 'Standard uncertainty that is the same in all it measures: a jug whose marks stand 1 % too high.',
    form: 'a share from 0 % to 50 %',
    example: '1 %',
  }),
  each: key(measured(['volume', 'mass'], '10 mL').optional(), {
    meaning: 'Standard uncertainty of each amount by itself.',
    form: 'a volume or a mass, as the step',
    example: '10 mL',
    otherwise: 'the step / √12',
  }),
});

export const allowanceSchema = z.strictObject({
  for: key(prose(120), {
    meaning: 'What takes this fluid.',
    form: 'a text of at most 120 characters',
    example: 'Dry filter',
  }),
  amount: key(quantity('volume', { above: '0 mL' }, '200 mL'), {
    meaning: 'How much it takes.',
    form: 'a volume above 0',
    example: '200 mL',
  }),
  uncertainty: key(quantity('volume', { from: '0 mL' }, '50 mL').prefault('0 mL'), {
    meaning: 'The standard uncertainty of that; for limits ±a take a/√3.',
    form: 'a volume, not below 0',
    example: '50 mL',
  }),
});

export const holdSchema = z.strictObject({
  channel: key(ourName(), {
    meaning:
      'The channel of the bench that is watched. Where the bench has none of this name that measures this, the person at the machine watches a gauge.',
    form: `a name: ${ID_FORM}`,
    example: 'filling-pressure',
  }),
  below: key(anyOf(VALUE_KINDS, '120 kPa').optional(), {
    meaning: 'The channel is to stay below this.',
    form: 'a quantity with its unit, which also says what is measured',
    example: '120 kPa',
    otherwise: 'needs `above`',
  }),
  above: key(anyOf(VALUE_KINDS, '25 mm').optional(), {
    meaning: 'The channel is to stay above this.',
    form: 'a quantity with its unit, which also says what is measured',
    example: '25 mm',
    otherwise: 'needs `below`',
  }),
  deadband: key(anyOf(DEADBANDS, '10 kPa').optional(), {
    meaning: 'How far back on the right side the channel must come before the alarm ends.',
    form: 'a quantity of the same kind, for temperatures a difference in K',
    example: '10 kPa',
    otherwise: 'none: it ends at the limit',
  }),
  'on-delay': key(quantity('time', { from: '0 s', to: '5 min' }, '2 s').prefault('0 s'), {
    meaning: 'How long the limit must be broken before it is an alarm.',
    form: 'a time from 0 s to 5 min',
    example: '2 s',
  }),
  say: key(prose(300), {
    meaning: 'What to do when it breaks.',
    form: 'a text of at most 300 characters',
    example: '"Stop the pump and let the pressure fall."',
  }),
  during: key(z.array(z.string()).min(1), {
    meaning: 'The steps while which it is watched.',
    form: 'a list of steps, one at least',
    example: '[fill]',
  }),
});

const version = z.union([z.int().min(0).transform(String), text(40)]);

/** The whole file. What stands under a name, and the steps, are looked into one by one. */
export const procedureSchema = z.strictObject({
  procedure: key(ourName(), {
    meaning: 'The name by which benches, jobs and records know it. A copy takes another one.',
    form: `a name: ${ID_FORM}`,
    example: 'north-bay-gearbox',
  }),
  title: key(prose(100), {
    meaning: 'The title on the page and in the record.',
    form: 'a text of at most 100 characters',
    example: 'Sealed gearbox, level to a chart',
  }),
  version: key(version, {
    meaning: 'As the shop counts it: the record says which one a job went by.',
    form: 'a whole number, or a text in quotes such as "2.1"',
    example: '3',
  }),
  purpose: key(prose(600), {
    meaning: 'What it is for, and when it is the right one.',
    form: 'a text of at most 600 characters',
    example: 'Fluid change with the level put back to where it stood.',
  }),
  result: key(word('level', 'overflow').prefault('level'), {
    meaning:
      'What comes of it: a level in millimetres at a temperature, or fluid that stood at the lip of an opening, with no millimetres.',
    form: 'level or overflow',
    example: 'overflow',
  }),
  cautions: key(cautionsSchema.prefault([]), {
    meaning: 'What is shown before the first step.',
    form: 'a list of texts',
    example: '["Keep to the maker\'s current service information."]',
  }),
  fields: key(z.record(z.string(), z.unknown()).prefault({}), {
    meaning: 'What is asked of customer and machine when a job begins.',
    form: `names of fields (${ID_FORM}) with their keys`,
    example: '{ plate: { ask: Registration plate } }',
  }),
  measures: key(z.record(z.string(), z.unknown()).prefault({}), {
    meaning: 'The jugs, scales and meters that amounts are measured by.',
    form: `names of measures (${ID_FORM}) with their keys`,
    example: '{ jug: { name: Measuring jug, by: jug, step: 50 mL } }',
  }),
  allowances: key(z.array(allowanceSchema).prefault([]), {
    meaning: 'What a refill takes besides what was drained.',
    form: 'a list of blocks with the keys for, amount, uncertainty',
    example: '[{ for: Dry filter, amount: 200 mL }]',
  }),
  holds: key(z.record(z.string(), z.unknown()).prefault({}), {
    meaning: 'Channels that must stay on one side of a limit while certain steps run; broken, they are an alarm.',
    form: `names of holds (${ID_FORM}) with their keys`,
    example: '{ pressure: { channel: filling-pressure, below: 120 kPa, … } }',
  }),
  steps: key(z.array(z.unknown()).min(1), {
    meaning: 'What is done, in its order.',
    form: 'a list of steps, one at least',
    example: '[{ step: level-ground, title: Stand it level, … }]',
  }),
});
