/** What the bench says of a job, in the language and units of this screen; its own words (English) where there are none. */

import { amount, chosen, measured, sensibly, uncertainty } from '../format.ts';
import { gateWords, verdictWords } from '../saying.ts';
import type { View } from '../state.ts';
import { convertSize, shownIn } from '../units.ts';
import { gateName, language, WORDS } from '../words.ts';
import type { Asked, Block, Entry, Hold, JobAdvice, Made, NowStep } from './progress.ts';
import { measuredAmount, quantityWords, stepOf, UNIT_OF } from './quantity.ts';

/** Why a step does not go on, in a sentence. */
export function blockWords(block: Block, view: View): string {
  const words = WORDS.run.blocks;
  switch (block.why) {
    case 'paused':
      return words.paused;
    case 'engine-off':
      return WORDS.run.engineOff;
    case 'gate': {
      const gate = view.live?.gates.find(({ id }) => id === block.what);
      return gate === undefined ? words.gate(gateName(block.what)) : gateWords(gate, view);
    }
    case 'filled': {
      const [, filled, least] = /^([\d.]+) L are in, at least ([\d.]+) L/.exec(block.words) ?? [];
      if (filled === undefined || least === undefined) return block.words;
      return words.filled(amount(Number(filled), 2, 'L'), amount(Number(least), 2, 'L'));
    }
    case 'entered': {
      const asked = view.progress?.now?.asks.find(({ name }) => name === block.what);
      return words.entered(asked?.words ?? block.what);
    }
    default:
      return block.words;
  }
}

/** Whether the sentences of the bench fit this screen as they are. */
function asSaid(): boolean {
  return language() === 'en' && shownIn('mm').factor === 1 && shownIn('L').factor === 1 && shownIn('Cel').factor === 1;
}

export interface AdviceWords {
  readonly todo: string;
  readonly why: string;
  readonly expected: string | null;
}

/** What to pour or drain, why, and what is expected of it. */
export function adviceWords(advice: JobAdvice, view: View): AdviceWords {
  const { words } = advice;
  if (asSaid()) return words;
  return { todo: todoWords(advice, view), why: whyWords(advice, view), expected: expectedWords(words.expected) };
}

function todoWords({ way, amount: size, unit, U95, words }: JobAdvice, { progress }: View): string {
  if (way === 'nothing') return known(words.todo);
  const step = progress?.now ?? null;
  const told = measuredAmount(size, unit, stepOf(progress?.measures ?? [], step?.measures[0]?.id ?? ''));
  const U = `${uncertainty(convertSize(U95, unit)).text}\u00a0${shownIn(unit).sign}`;
  return step?.way === 'either' ? WORDS.run.dose.todo(way, told, U) : WORDS.run.dose.todoRefill(told, U);
}

function whyWords({ way, words }: JobAdvice, { progress, verdict }: View): string {
  const refill = progress?.refill ?? null;
  if (progress?.now?.way === 'in' && refill !== null && way !== 'nothing')
    return WORDS.run.dose.whyRefill(amount(refill.litres, 2, 'L'), chosen(Math.round(refill.pourC), 'Cel'));
  const said = known(words.why);
  if (progress?.now?.way === 'in') return said;
  return said === words.why && verdict !== null && verdict.judged !== null ? verdictWords(verdict) : said;
}

function expectedWords(said: string | null): string | null {
  const [, level, U] = /^Then (-?[\d.]+) mm is expected \(± ([\d.]+) mm\)/.exec(said ?? '') ?? [];
  if (level === undefined || U === undefined) return said;
  const told = measured(Number(level), Number(U), 'mm');
  return WORDS.run.dose.expected(told.value, told.U);
}

function known(sentence: string): string {
  return WORDS.adviceSaid[sentence] ?? sentence;
}

/** "below 120.0 kPa" */
export function limitWords({ side, limit, quantity }: Hold): string {
  return WORDS.run.holds[side](barred(limit, UNIT_OF[quantity]));
}

/** Gauges in a workshop often show bar: 1 bar is 100 kPa. */
function barred(value: number, ucum: string): string {
  const told = sensibly(value, ucum);
  return ucum === 'kPa' ? `${told} (${amount(value / 100, 2, 'bar')})` : told;
}

export function entryWords({ value }: Pick<Entry, 'value'>, asked: Asked | undefined): string {
  return typeof value === 'number' && asked?.of === 'quantity' ? quantityWords(value, asked.quantity) : String(value);
}

/** "0.65 L poured in, at 20.0 °C, one-litre jug" */
export function madeWords(made: Made, view: View): string {
  const { kind, amount: size, unit, measure, tC } = made;
  const words = WORDS.run.told;
  const measures = view.progress?.measures ?? [];
  const by = measures.find(({ id }) => id === measure)?.words ?? words.hand;
  const told = `${measuredAmount(size, unit, stepOf(measures, measure))} ${words.kinds[kind]}`;
  return [told, words.at(amount(tC, 1, 'Cel')), by].join(', ');
}

/** L in all of one kind among those that stand, where all of them are litres; null where one is not. */
export function litresOf(made: readonly Made[], kinds: readonly Made['kind'][], step: string): number | null {
  const counted = made.filter((one) => kinds.includes(one.kind) && one.step === step);
  return counted.every(({ unit }) => unit === 'L') ? counted.reduce((sum, one) => sum + one.amount, 0) : null;
}

/** What the advice is worth in the unit of a measure; null where the units differ. */
export function advised(advice: JobAdvice | null, now: NowStep, measure: string): number | null {
  const unit = now.measures.find(({ id }) => id === measure)?.unit;
  return advice === null || advice.way === 'nothing' || advice.unit !== unit ? null : advice.amount;
}
