/**
 * The next dose. A job ends from above: what is added may end a little too high, what is drained keeps clear of too low,
 * for a drain is quick, and an addition is not. So a dose aims at the target, or as far above it as it is unsure beyond
 * the tolerance; and no dose may end past the target by more than is stated, but for one in forty.
 */
import { findRoot } from '../find-root.ts';
import type { Fluid } from '../fluids/fluid.ts';
import { combined } from '../fluids/property.ts';
import { type Conformity, conformity } from '../match/conformity.ts';
import { litresPerUnit, type Measure } from './amounts.ts';
import { afterDose, type DoseMade, type Knowledge } from './knowledge.ts';
import type { Response } from './response.ts';

export interface Need {
  readonly targetMm: number;
  /** Standard uncertainty of level minus target from all that no dose and no other reading of the job makes surer. */
  readonly uTargetMm: number;
  /** The level may lie so far above or below; a reading this far from the target is accepted: less by the guard band. */
  readonly toleranceMm: number;
  readonly acceptMm: number;
  /** An addition may end this far above the target, at 95 %. */
  readonly mostOverMm: number;
}

/** What is poured and what runs out, and how warm they are when they are measured. */
export interface Pouring {
  readonly added: Fluid;
  readonly drained: Fluid;
  /** °C that the levels stand for. */
  readonly levelC: number;
  readonly addedC: number;
  readonly drainedC: number;
  /** Standard uncertainty of the temperature of what is poured or caught. */
  readonly uPouredK: number;
}

export interface Dose {
  readonly kind: 'dose';
  readonly way: 'add' | 'drain';
  /** In the unit of the measure, a whole number of its steps. */
  readonly amount: number;
  /** What would bring the level to the target itself, and its expanded uncertainty for 95 %. */
  readonly needed: number;
  readonly U95Needed: number;
  /** What is expected then, mm; U95 of level minus target. */
  readonly afterMm: number;
  readonly U95Mm: number;
  /** Past the target at most so far, at 95 %; 0 or less: not past it at all. */
  readonly mostPastMm: number;
  /** Of the level after it, against target ± tolerance. */
  readonly after: Conformity;
  /** Why this much: all that is needed, or less, as it is not known well enough what a litre does. */
  readonly why: 'needed' | 'cautious' | 'as-good-as-it-gets';
  /** Litres at the temperature of the levels, with the sign that `afterDose` takes. */
  readonly made: DoseMade;
}

export type Plan =
  | Dose
  /** Near enough already. */
  | { readonly kind: 'enough'; readonly now: Conformity }
  /** Every step of this measure would make it worse. */
  | { readonly kind: 'finer'; readonly way: Dose['way']; readonly needed: number }
  /** Vessel or fluid are not known there. */
  | { readonly kind: 'beyond'; readonly what: 'vessel' | 'fluid' };

const K95 = 1.959963984540054;
/** So many doublings of a step are more than any vessel holds. */
const MOST_DOUBLINGS = 40;

/** Litres at the temperature of the levels for an amount as measured, with its own uncertainty; null outside the fluid. */
export function doseMade(amount: number, way: Dose['way'], measure: Measure, pouring: Pouring): DoseMade | null {
  const [fluid, fromC] = way === 'add' ? [pouring.added, pouring.addedC] : [pouring.drained, pouring.drainedC];
  const per = litresPerUnit(fluid, measure.gauge, fromC, pouring.levelC);
  if (!per.inRange) return null;
  const byFluid = amount * combined(per.constants);
  const byHeat = amount * per.perFromC * pouring.uPouredK;
  const own = per.value * measure.uEach;
  return {
    litres: (way === 'add' ? 1 : -1) * per.value * amount,
    uLitres: Math.sqrt(own * own + byFluid * byFluid + byHeat * byHeat),
  };
}

/** What to pour or drain next. Throws a RangeError where the measure has no step or nothing is accepted. */
export function nextDose(
  response: Response,
  knowledge: Knowledge,
  need: Need,
  { measure, pouring }: { readonly measure: Measure; readonly pouring: Pouring },
): Plan {
  const { targetMm, uTargetMm, toleranceMm, acceptMm, mostOverMm } = need;
  if (!(measure.step > 0)) throw new RangeError('the measure must have a step above 0');
  if (!(acceptMm > 0 && toleranceMm >= acceptMm))
    throw new RangeError('what is accepted must be above 0 mm and within the tolerance');
  const gapMm = knowledge.levelMm - targetMm;
  const judged = ({ levelMm, varLevel }: Knowledge) => {
    const u = Math.sqrt(varLevel + uTargetMm * uTargetMm);
    const estimate = { value: levelMm - targetMm, u, degreesOfFreedom: Number.POSITIVE_INFINITY };
    return {
      ...{ offMm: levelMm - targetMm, u },
      sure: conformity(estimate, -toleranceMm, toleranceMm),
      accepted: conformity(estimate, -acceptMm, acceptMm).within,
    };
  };
  const now = judged(knowledge);
  if (Math.abs(gapMm) <= acceptMm) return { kind: 'enough', now: now.sure };
  const way = gapMm < 0 ? 'add' : 'drain';
  const sign = way === 'add' ? 1 : -1;

  const at = (amount: number): There | null => {
    const made = doseMade(amount, way, measure, pouring);
    const known = made === null ? null : afterDose(response, knowledge, made);
    return made === null || known === null ? null : { made, known, ...judged(known) };
  };
  if (doseMade(measure.step, way, measure, pouring) === null) return { kind: 'beyond', what: 'fluid' };
  /** Amount at which `past`, below 0 at first, reaches 0; the end of the vessel where that comes first. */
  const reach = (past: (there: There) => number): number => {
    let low = 0;
    let high = measure.step;
    for (let i = 0; i < MOST_DOUBLINGS; i++, high *= 2) {
      const there = at(high);
      if (there === null || past(there) >= 0) return findRoot(along(past), low, high);
      low = high;
    }
    return Number.POSITIVE_INFINITY;
  };
  const along = (past: (there: There) => number) => (amount: number) => {
    const there = at(amount);
    if (there === null) return { value: Number.POSITIVE_INFINITY, derivative: 0 };
    const { made, known } = there;
    const perUnit = amount > 0 ? made.litres / amount : 0;
    const slope = known.factor * response.move(knowledge.levelMm, made.litres).perLitre * perUnit * sign;
    return { value: past(there), derivative: slope };
  };

  const needed = reach(({ offMm }) => sign * offMm);
  const there = at(needed);
  if (there === null || !(Math.abs(there.offMm) < 1e-6)) return { kind: 'beyond', what: 'vessel' };
  const allowed = ({ offMm, u }: { offMm: number; u: number }): boolean =>
    way === 'add' ? offMm + K95 * u <= mostOverMm : offMm - K95 * u >= -toleranceMm;
  const aim =
    way === 'add'
      ? Math.min(
          reach(({ offMm, u }) => offMm - Math.max(0, K95 * u - toleranceMm)),
          reach(({ offMm, u }) => offMm + K95 * u - mostOverMm),
        )
      : Math.min(
          needed,
          reach(({ offMm, u }) => K95 * u - offMm - toleranceMm),
        );
  const found = rounded({ aim, needed, step: measure.step, at, allowed, now: now.sure.within });
  if (found === null) return { kind: 'finer', way, needed };
  const { amount, made, known, offMm, u, sure, bounded } = found;
  const perUnitMm = Math.abs(there.offMm - gapMm) / needed;
  return {
    kind: 'dose',
    way,
    amount,
    needed,
    U95Needed: (K95 * there.u) / perUnitMm,
    afterMm: known.levelMm,
    U95Mm: K95 * u,
    mostPastMm: sign * offMm + K95 * u,
    after: sure,
    why: !bounded ? 'as-good-as-it-gets' : amount < needed - measure.step ? 'cautious' : 'needed',
    made,
  };
}

interface There {
  readonly made: DoseMade;
  readonly known: Knowledge;
  readonly offMm: number;
  readonly u: number;
  readonly sure: Conformity;
  /** How probably a reading there would be accepted. */
  readonly accepted: number;
}

interface Rounding {
  readonly aim: number;
  readonly needed: number;
  readonly step: number;
  readonly at: (amount: number) => There | null;
  readonly allowed: (there: There) => boolean;
  /** How probably it is within already. */
  readonly now: number;
}

/** An end on the upper side is preferred where it is as sure as this to be accepted. */
const SURE = 0.95;

/**
 * The steps around the aim that keep what is promised: the one that ends higher where that is sure to be accepted, else the
 * nearer one. Where neither keeps it, the step that most probably ends within; null: none helps.
 */
function rounded({ aim, needed, step, at, allowed, now }: Rounding) {
  const below = Math.floor(aim / step + 1e-9);
  const tried = (steps: number) => ({ amount: steps * step, there: steps > 0 ? at(steps * step) : null });
  const kept = [below, below + 1].map(tried).filter(({ there }) => there !== null && allowed(there));
  const [best] = kept.sort((a, b) => {
    const [highA, highB] = [a.there?.offMm ?? 0, b.there?.offMm ?? 0];
    const upper = highA > highB ? a : b;
    if ((upper.there?.accepted ?? 0) >= SURE) return highB - highA;
    return Math.abs(a.amount - aim) - Math.abs(b.amount - aim);
  });
  if (best?.there != null) return { amount: best.amount, bounded: true, ...best.there };
  const most = Math.ceil(needed / step);
  const [better] = [below, most - 1, most]
    .map(tried)
    .filter(({ there }) => there !== null && there.sure.within > now)
    .sort((a, b) => (b.there?.sure.within ?? 0) - (a.there?.sure.within ?? 0));
  return better?.there == null ? null : { amount: better.amount, bounded: false, ...better.there };
}
