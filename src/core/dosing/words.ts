/** The next dose as a technician is told it. */
import { plain, told, toldUncertainty } from '../uncertainty/rounding.ts';
import { type Measure, unitOf } from './amounts.ts';
import type { Knowledge } from './knowledge.ts';
import type { Dose, Need, Plan } from './plan.ts';
import type { Response } from './response.ts';

export interface DoseWords {
  /** What to do. */
  readonly todo: string;
  readonly why: string;
  /** What is expected then; null where nothing is dosed. */
  readonly expected: string | null;
}

export interface Asked {
  readonly plan: Plan;
  readonly knowledge: Knowledge;
  readonly response: Response;
  readonly measure: Measure;
  readonly need: Need;
}

const K95 = 1.959963984540054;

export function doseInWords(asked: Asked): DoseWords {
  const { plan, measure } = asked;
  const unit = unitOf(measure.gauge);
  switch (plan.kind) {
    case 'enough':
      return {
        todo: 'Nothing to add or drain.',
        why: `${place(asked)}; up to ${figures(asked.need.acceptMm)} mm is accepted. It is ${percent(plan.now.within)} sure to be within ±${figures(asked.need.toleranceMm)} mm.`,
        expected: null,
      };
    case 'finer':
      return {
        todo: 'Nothing that this measure can pour would bring it nearer.',
        why: `${place(asked)}: ${plain(plan.needed, 3)} ${unit} to ${plan.way}, and it pours in steps of ${measure.step} ${unit}. Take a finer measure, or accept the level with a reason.`,
        expected: null,
      };
    case 'beyond':
      return {
        todo: 'No dose can be told.',
        why:
          plan.what === 'vessel'
            ? 'The target, or the way to it, lies outside what is known of the vessel.'
            : 'The fluid is as warm or cold as nothing is known of it.',
        expected: null,
      };
    case 'dose':
      return {
        todo: `${plan.way === 'add' ? 'Add' : 'Drain'} ${amount(plan.amount, measure)} ${unit} (± ${toldUncertainty(plan.U95Needed).text} ${unit}), then wait and read again.`,
        why: `${place(asked)}. ${reason(plan, asked)}`,
        expected: expected(plan, asked),
      };
  }
}

function place({ knowledge, need }: Asked): string {
  const U = K95 * Math.sqrt(knowledge.varLevel + need.uTargetMm * need.uTargetMm);
  const off = knowledge.levelMm - need.targetMm;
  const { value, U: text } = told(Math.abs(off), U);
  return `The level stands ${value} mm ${off < 0 ? 'below' : 'above'} the target (± ${text} mm)`;
}

function reason(dose: Dose, { measure, knowledge, response }: Asked): string {
  const unit = unitOf(measure.gauge);
  const needed = `${told(dose.needed, dose.U95Needed).value} ${unit}`;
  if (dose.why === 'as-good-as-it-gets')
    return `${needed} would bring it there, not surely enough to promise where it ends; this much ends nearest.`;
  if (dose.why === 'needed')
    return `${needed} would bring it there; this is what can be poured, and rather ends above than below.`;
  const U = K95 * Math.sqrt(knowledge.varFactor);
  if (response.kind === 'known')
    return `${needed} would bring it there, if readings and vessel were exact; this much is sure not to be too much.`;
  const { value, U: text } = told(knowledge.factor, U);
  return `A litre is taken to move it ${value} mm (± ${text} mm): ${needed} would bring it there, but it may be less. The next reading tells more.`;
}

function expected({ afterMm, U95Mm, after, mostPastMm, way }: Dose, { need }: Asked): string {
  const { value, U } = told(afterMm, U95Mm);
  const side = way === 'add' ? 'above' : 'below';
  const past =
    mostPastMm > 0 ? `at most ${toldUncertainty(mostPastMm).text} mm ${side} the target` : `not ${side} the target`;
  return `Then ${value} mm is expected (± ${U} mm), ${past}; ${percent(after.within)} sure to be within ±${figures(need.toleranceMm)} mm of it.`;
}

function amount(value: number, { step }: Measure): string {
  let decimals = 0;
  for (let rest = step; decimals < 4 && Math.abs(rest - Math.round(rest)) > 1e-6; decimals++) rest *= 10;
  return plain(value, Math.max(2, decimals));
}

/** Rounded down: nothing is surer than it is. */
function percent(share: number): string {
  return share > 0.999 ? 'more than 99.9 %' : `${Math.floor(share * 100)} %`;
}

function figures(value: number): string {
  return String(Number(value.toPrecision(2)));
}
