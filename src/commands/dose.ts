/** `stillwell dose bench.yaml`: how much to add or drain next, why, and what is expected then. */
import { drivers } from '../../drivers/index.ts';
import { loadCalibrations } from '../calibrations/folder.ts';
import type { BenchDescription } from '../core/description.ts';
import { type Measure, unitOf } from '../core/dosing/amounts.ts';
import { afterDose, afterReading, knowledgeAt, type Learned } from '../core/dosing/knowledge.ts';
import { ANY_MACHINE, keptWith, priorOf } from '../core/dosing/machine-type.ts';
import { doseMade, type Need, nextDose, type Pouring } from '../core/dosing/plan.ts';
import { knownVessel, type Response, type ResponsePrior, unknownVessel } from '../core/dosing/response.ts';
import { type Sureness, sureness } from '../core/dosing/sureness.ts';
import { dosesBefore, stopMark } from '../core/dosing/timing.ts';
import { doseInWords } from '../core/dosing/words.ts';
import { fluidOf } from '../core/fluids/fluid.ts';
import { expectedReading } from '../core/uncertainty/expected.ts';
import { plain, told, toldUncertainty } from '../core/uncertainty/rounding.ts';
import { vesselOf } from '../core/vessels/vessel.ts';
import type { DriverRegistry } from '../kit/driver.ts';
import { dosingBench } from './dosing-bench.ts';
import type { Out } from './out.ts';

export interface DoseOptions {
  /** Levels as readings tell them, mm. */
  readonly level: number;
  readonly target: number;
  /** °C that both stand for. */
  readonly temperature?: number;
  /** °C of what is poured in; of what is drained. */
  readonly pourAt: number;
  readonly drainAt?: number;
  /** mm; in place of the bench's. */
  readonly tolerance?: number;
  /** By weight, as a scale in air shows it. */
  readonly scale?: boolean;
  /** In L, or kg with a scale. */
  readonly step: number;
  readonly measurePercent: number;
  readonly eachU?: number;
  readonly prior?: ResponsePrior;
  /** Doses before this one, first to last. */
  readonly done?: readonly DoneDose[];
  /** s until the window closes, and what one dose takes with its reading. */
  readonly closesIn?: number;
  readonly takes: number;
}

/** Above 0 poured in, below 0 drained; the levels read before and after. */
export interface DoneDose {
  readonly amount: number;
  readonly beforeMm: number;
  readonly afterMm: number;
}

/** Air at sea level, for scales. */
const AIR_KG_PER_M3 = 1.2;
/** Of the temperature of what is poured or caught. Our estimate, no source. */
const U_POURED_K = 3;
const K95 = 1.959963984540054;

const WHAT_ELSE = 'a leak, a typing error, a false echo, or it had not drained back?';
const CAUTION = `Fluid, drain plug and exhaust may be hot, and the engine may be running: gloves and glasses, nothing under a machine
that is not secured. The maker's current service information goes before what stands here.
`;

export function dose(file: string, options: DoseOptions, out: Out, registry: DriverRegistry = drivers): number {
  const { bench, fluid } = dosingBench(file, registry);
  const levelC = options.temperature ?? bench.measure.referenceC;
  const response = responseOf(bench, levelC, options.prior);
  const measure: Measure = {
    gauge: options.scale === true ? { kind: 'mass', airDensityKgPerM3: AIR_KG_PER_M3 } : { kind: 'volume' },
    step: options.step,
    uShare: options.measurePercent / 100,
    // Half a step either way, all alike.
    uEach: options.eachU ?? options.step / 2 / Math.sqrt(3),
  };
  const oil = fluidOf(fluid);
  const pouring: Pouring = {
    ...{ added: oil, drained: oil, levelC, uPouredK: U_POURED_K },
    ...{ addedC: options.pourAt, drainedC: options.drainAt ?? levelC },
  };
  const sure = surenessOf(file, bench, options);
  const need: Need = {
    ...{ targetMm: options.target, uTargetMm: sure.uTargetMm },
    ...{ toleranceMm: sure.toleranceMm, acceptMm: sure.acceptMm, mostOverMm: 2 * sure.toleranceMm },
  };
  const said: string[] = [];
  const say = (...lines: string[]): number => said.push(...lines);
  const first = options.done?.[0]?.beforeMm ?? options.level;
  let knowledge = knowledgeAt(response, { mm: first, uMm: sure.uOwnMm }, measure.uShare);
  for (const one of options.done ?? []) {
    const made = doseMade(Math.abs(one.amount), one.amount > 0 ? 'add' : 'drain', measure, pouring);
    const expected = made === null ? null : afterDose(response, knowledge, made);
    if (expected === null) {
      say(`The dose ${dosed(one, measure)} leads out of what is known of vessel or fluid: nothing is learned from it.`);
      knowledge = { ...knowledge, levelMm: one.afterMm };
      continue;
    }
    const learned = afterReading(response, expected, { mm: one.afterMm, uMm: sure.uOwnMm });
    if (!learned.fits) say(misfit(one, learned, measure));
    knowledge = learned.knowledge;
  }
  const last = options.done?.at(-1)?.afterMm;
  // A level that no dose ends with is one more reading.
  if (last !== undefined && last !== options.level) {
    const again = afterReading(response, knowledge, { mm: options.level, uMm: sure.uOwnMm });
    if (!again.fits)
      say(`The level moved from ${plain(last, 1)} to ${plain(options.level, 1)} mm without a dose: ${WHAT_ELSE}`);
    knowledge = again.knowledge;
  }
  const plan = nextDose(response, knowledge, need, { measure, pouring });
  const words = doseInWords({ plan, knowledge, response, measure, need });
  const lines = [words.todo, '', words.why, ...(words.expected === null ? [] : [words.expected])];
  if (plan.kind === 'dose' && plan.way === 'drain') {
    const mark = stopMark(response, knowledge, plan.made.litres, { runsOnL: 0, comesDownL: 0 });
    if (mark !== null)
      lines.push(`Shut the tap when the level comes down to ${plain(mark, 1)} mm, if the amount has not come by then.`);
  }
  if (options.closesIn !== undefined && plan.kind === 'dose') {
    const s = options.closesIn;
    const time = { doseS: options.takes, drainBackS: 0, readS: 0 };
    lines.push(dosesBefore({ s, lowS: s, highS: s }, time, plan.way).words);
  }
  const taught = learnedWords(response, knowledge);
  out.write(
    [
      ...said,
      ...lines,
      '',
      ...assumed(bench, { measure, pouring, need, sure, options }),
      ...(taught === null ? [] : [taught]),
      '',
      CAUTION,
    ].join('\n'),
  );
  return plan.kind === 'beyond' ? 1 : 0;
}

function responseOf(bench: BenchDescription, levelC: number, prior?: ResponsePrior): Response {
  if (bench.vessel !== null && prior === undefined) return knownVessel(vesselOf(bench.vessel), levelC);
  return unknownVessel(prior ?? priorOf(ANY_MACHINE));
}

/** As sure as the next reading of this bench would be, held against the target as its `match` says. */
function surenessOf(file: string, bench: BenchDescription, options: DoseOptions): Sureness {
  const place = { levelMm: options.level, temperatureC: null };
  const { reading } = expectedReading(bench, place, loadCalibrations(file, bench));
  const description = bench.measure.match;
  const target = description?.target == null ? null : { from: 'level' as const, ...description.target };
  return sureness(reading, target, description, options.tolerance);
}

function misfit(one: DoneDose, { surpriseMm, uSurpriseMm }: Learned, measure: Measure): string {
  const { value, U } = told(Math.abs(surpriseMm), K95 * uSurpriseMm);
  const side = surpriseMm < 0 ? 'lower' : 'higher';
  return `After ${dosed(one, measure)} the level stood ${value} mm ${side} than it should (± ${U} mm): ${WHAT_ELSE} Nothing is learned from it.`;
}

function dosed({ amount }: DoneDose, measure: Measure): string {
  return `${figures(Math.abs(amount))} ${unitOf(measure.gauge)} ${amount > 0 ? 'added' : 'drained'}`;
}

/** What the next machine of this kind can begin with. */
function learnedWords(response: Response, { factor, varFactor, learnedFrom }: ReturnType<typeof knowledgeAt>) {
  if (response.kind === 'known' || learnedFrom === 0) return null;
  const u = Math.sqrt(varFactor);
  const { value, U } = told(factor, K95 * u);
  const kept = priorOf(keptWith(ANY_MACHINE, factor, u));
  return `Learned: ${value} mm per litre (± ${U} mm). For the next machine of this kind: --prior ${figures(kept.mmPerLitre)},${figures(kept.spread)}`;
}

interface Assumed {
  readonly measure: Measure;
  readonly pouring: Pouring;
  readonly need: Need;
  readonly sure: Sureness;
  readonly options: DoseOptions;
}

function assumed(bench: BenchDescription, { measure, pouring, need, sure, options }: Assumed): string[] {
  const unit = unitOf(measure.gauge);
  const vessel = bench.vessel !== null && options.prior === undefined ? bench.vessel.name : null;
  return [
    `Assumed: both levels stand for ${plain(pouring.levelC, 1)} °C; poured in at ${plain(pouring.addedC, 1)} °C, caught at ${plain(pouring.drainedC, 1)} °C, each ± ${2 * U_POURED_K} K;`,
    `  measured by ${unit === 'L' ? 'volume' : 'a scale in air'} in steps of ${figures(measure.step)} ${unit}, ${figures(100 * measure.uShare)} % for all and ${toldUncertainty(measure.uEach).text} ${unit} for each, standard uncertainty;`,
    `  ${vessel === null ? 'the vessel not known' : `litres by ${vessel}, ${figures(100 * (bench.vessel?.uVolumeShare ?? 0))} %`};`,
    `  ±${figures(sure.toleranceMm)} mm allowed, ±${figures(need.acceptMm)} mm accepted${sure.surely ? '' : ' (no level would be sure to be within)'}.`,
  ];
}

function figures(value: number): string {
  return String(Number(value.toPrecision(3)));
}
