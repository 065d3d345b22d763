/** How much next: the refill by what was drained, an adjustment by the last reading and what the doses before it did. */
import type { BenchDescription } from '../description.ts';
import { unitOf } from '../dosing/amounts.ts';
import { afterDose, afterReading, type Knowledge, knowledgeAt, type Learned } from '../dosing/knowledge.ts';
import { ANY_MACHINE, priorOf } from '../dosing/machine-type.ts';
import { doseMade, type Need, nextDose, type Pouring } from '../dosing/plan.ts';
import { knownVessel, type Response, unknownVessel } from '../dosing/response.ts';
import { sureness } from '../dosing/sureness.ts';
import { stopMark } from '../dosing/timing.ts';
import { doseInWords } from '../dosing/words.ts';
import type { Reading, Target } from '../events.ts';
import { fluidOf } from '../fluids/fluid.ts';
import { plain, told, toldUncertainty } from '../uncertainty/rounding.ts';
import { vesselOf } from '../vessels/vessel.ts';
import { freshC, measureOf, refillOf, U_POURED_K } from './accounts.ts';
import type { DoseStep, MeasureDescription, ProcedureDescription, StepDescription } from './procedure.ts';
import { type Advice, type AmountMade, type Progress, standing } from './progress.ts';

export interface JobNow {
  readonly bench: BenchDescription;
  readonly procedure: ProcedureDescription;
  readonly progress: Progress;
  /** Of the job, oldest first. */
  readonly readings: readonly Reading[];
  readonly target: Target | null;
}

const K95 = 1.959963984540054;
/** A dose with its reading takes about so long where the job has not shown it yet, s. Our estimate, no source. */
const USUAL_TAKES_S = 150;
/** An addition may end so many tolerances above the target. */
const MOST_OVER = 2;

/** For the dose step that the job has come to; null where it leaves the amount to the person. */
export function adviceFor(now: JobNow, step: StepDescription & DoseStep, levelC: number): Advice | null {
  const offered = now.procedure.measures.find(({ id }) => id === step.measures[0]);
  if (offered === undefined) return null;
  if (step.plan === 'refill') return refillAdvice(now, step, offered, levelC);
  return step.way === 'advice' ? adjustment(now, step, offered) : null;
}

function refillAdvice(
  { bench, procedure, progress }: JobNow,
  step: StepDescription,
  offered: MeasureDescription,
  levelC: number,
): Advice {
  const plan = refillOf(bench, procedure, progress, levelC);
  if (plan === null || !plan.inRange)
    return nothing(step, offered, {
      todo: 'Fill in what the maker states.',
      why:
        bench.fluid === null
          ? 'The bench file has no section "fluid": what was drained cannot be brought to the temperature of the new fluid.'
          : plan === null
            ? 'Nothing was entered as drained.'
            : 'The fluid is used outside what is known of it.',
      expected: null,
    });
  const U = toldUncertainty(K95 * plan.uLitres);
  return {
    ...{ step: step.id, way: 'in', amount: plan.litres, unit: 'L', measure: offered.id, U95: K95 * plan.uLitres },
    ...{ stopMarkMm: null, takesS: 0 },
    words: {
      todo: `Fill in ${plain(plan.litres, 2)} L (± ${U.text} L).`,
      why: `${plain(plan.replacesL, 2)} L for what came out, at ${plain(plan.pourC, 0)} °C, and ${plain(plan.allowanceL, 2)} L besides.`,
      expected: null,
    },
  };
}

function adjustment(now: JobNow, step: StepDescription, offered: MeasureDescription): Advice {
  const { bench, progress, procedure, readings, target } = now;
  const last = readings.at(-1);
  if (bench.fluid === null || target === null || last === undefined)
    return nothing(step, offered, {
      todo: 'No amount can be told.',
      why:
        bench.fluid === null
          ? 'The bench file has no section "fluid".'
          : target === null
            ? 'There is no target yet.'
            : 'There is no reading yet.',
      expected: null,
    });
  const response = responseOf(now);
  const sure = sureness(last, target, bench.measure.match);
  const need: Need = {
    targetMm: target.from === 'level' ? target.levelMm : target.reading.levelMm,
    uTargetMm: sure.uTargetMm,
    toleranceMm: sure.toleranceMm,
    acceptMm: sure.acceptMm,
    mostOverMm: MOST_OVER * sure.toleranceMm,
  };
  const oil = fluidOf(bench.fluid);
  const measure = measureOf(offered, offered.step);
  const pouring: Pouring = {
    ...{ added: oil, drained: oil, levelC: last.referenceC, uPouredK: U_POURED_K },
    ...{ addedC: freshC(procedure, progress), drainedC: last.temperatureC },
  };
  const { knowledge, misfit } = knowledgeOf(now, response, offered.uShare);
  const plan = nextDose(response, knowledge, need, { measure, pouring });
  const asTold = doseInWords({ plan, knowledge, response, measure, need });
  const words = misfit === null ? asTold : { ...asTold, why: `${misfitInWords(misfit)} ${asTold.why}` };
  if (plan.kind !== 'dose') return nothing(step, offered, words);
  return {
    step: step.id,
    way: plan.way === 'add' ? 'in' : 'out',
    amount: plan.amount,
    unit: unitOf(measure.gauge),
    measure: offered.id,
    U95: plan.U95Needed,
    stopMarkMm:
      plan.way === 'drain' ? stopMark(response, knowledge, plan.made.litres, { runsOnL: 0, comesDownL: 0 }) : null,
    takesS: lastTook(now, step) ?? USUAL_TAKES_S,
    words,
  };
}

export function responseOf({ bench, progress }: Pick<JobNow, 'bench' | 'progress'>): Response {
  if (bench.vessel !== null) return knownVessel(vesselOf(bench.vessel), bench.measure.referenceC);
  return unknownVessel(progress.prior ?? priorOf(ANY_MACHINE));
}

/**
 * Readings and the adjustments between them, one after the other, so that a correction is worked in as if it had been
 * told at once. `uShare`: of the measure. Draining and filling with the engine off say nothing of mm per litre: circuits empty too.
 */
export function knowledgeOf(
  { bench, procedure, progress, readings }: JobNow,
  response: Response,
  uShare: number,
): { readonly knowledge: Knowledge; readonly misfit: Misfit | null } {
  const adjusting = new Set(procedure.steps.flatMap((step) => (isAdjusting(step) ? [step.id] : [])));
  const made = standing(progress).filter(({ step }) => step !== null && adjusting.has(step));
  const firstMade = made[0]?.afterReading ?? readings.at(-1)?.id;
  const counted = readings.filter(({ id }) => firstMade !== undefined && id >= firstMade);
  const [first] = counted;
  if (first === undefined || bench.fluid === null) throw new Error('nothing was read yet');
  const oil = fluidOf(bench.fluid);
  let knowledge = knowledgeAt(response, levelOf(first), uShare);
  let misfit: Misfit | null = null;
  for (const [i, reading] of counted.entries()) {
    if (i > 0) {
      const learned = afterReading(response, knowledge, levelOf(reading));
      const dosed = made.findLast(({ afterReading }) => afterReading < reading.id) ?? null;
      misfit = learned.fits ? null : { learned, dosed };
      knowledge = learned.knowledge;
    }
    for (const one of made.filter(({ afterReading }) => afterReading === reading.id)) {
      const { referenceC: levelC } = reading;
      const pouring = {
        ...{ added: oil, drained: oil, levelC, addedC: one.tC, drainedC: one.tC, uPouredK: one.uTemperatureK },
      };
      const litres = doseMade(one.amount, one.kind === 'in' ? 'add' : 'drain', measureOf(one), pouring);
      const after = litres === null ? null : afterDose(response, knowledge, litres);
      // Out of what is known of vessel or fluid: nothing is learned, and the next reading says where it stands.
      knowledge = after ?? { ...knowledge, varLevel: Number.MAX_SAFE_INTEGER, covariance: 0 };
    }
  }
  return { knowledge, misfit };
}

/** A dose that did not do what it should, as the newest reading shows. */
interface Misfit {
  readonly learned: Learned;
  readonly dosed: AmountMade | null;
}

function misfitInWords({ learned: { surpriseMm, uSurpriseMm }, dosed }: Misfit): string {
  const { value, U } = told(Math.abs(surpriseMm), K95 * uSurpriseMm);
  const side = surpriseMm < 0 ? 'lower' : 'higher';
  const after = dosed === null ? '' : ` after ${dosed.amount} ${dosed.unit} ${dosed.kind === 'in' ? 'in' : 'out'}`;
  return `The level stands ${value} mm ${side} than it should${after} (± ${U} mm): a leak, a typing error, a false echo, or it had not drained back? Nothing is learned from it.`;
}

/** s from one dose of this step to the end of the reading after it, as the job has shown last; null before it has. */
function lastTook({ procedure, progress: { ended } }: JobNow, step: StepDescription): number | null {
  const from = ended.findLastIndex((one) => one.step === step.id && one.how === 'done');
  const reads = procedure.steps.flatMap(({ id, kind }) => (kind === 'read' ? [id] : []));
  const read = ended.findIndex((one, i) => i > from && reads.includes(one.step));
  if (from < 0 || read < 0) return null;
  const took = ended.slice(from, read + 1).map(({ tookS }) => tookS);
  return took.includes(null) ? null : took.reduce<number>((sum, s) => sum + (s ?? 0), 0);
}

function levelOf(reading: Reading) {
  return { mm: reading.levelMm, uMm: sureness(reading, null, null).uOwnMm };
}

export function isAdjusting(step: StepDescription): boolean {
  return step.kind === 'dose' && step.way === 'advice';
}

function nothing(step: StepDescription, { unit, id }: MeasureDescription, words: Advice['words']): Advice {
  return {
    ...{ step: step.id, way: 'nothing', amount: 0, unit, measure: id, U95: 0 },
    ...{ stopMarkMm: null, takesS: 0, words },
  };
}
