/** What a job poured in and let out: the amounts as the balance wants them, the refill, how fresh the fluid is. */
import type { BenchDescription } from '../description.ts';
import { type Gauge, kgPerUnit, type Measure } from '../dosing/amounts.ts';
import { type Balance, balance, changeByFactor, changeByVessel, type Entry } from '../dosing/balance.ts';
import { type Exchange, type Fresh, freshShares } from '../dosing/fresh-share.ts';
import { type Refill, refillPlan } from '../dosing/refill.ts';
import type { ResponsePrior } from '../dosing/response.ts';
import type { Reading } from '../events.ts';
import { type Fluid, fluidOf } from '../fluids/fluid.ts';
import { match } from '../match/difference.ts';
import { vesselOf } from '../vessels/vessel.ts';
import type { MEANINGS, ProcedureDescription } from './procedure.ts';
import { type AmountMade, entryOf, type Progress, standing } from './progress.ts';

/** Standard uncertainty of the temperature of what is poured or caught, K. Our estimate, no source. */
export const U_POURED_K = 2;
/** New fluid that nobody has measured is as warm as a workshop, °C. Our estimate, no source. */
const WORKSHOP_C = 20;
/** Standard uncertainty of all the fluid that a machine holds, as a share. Our estimate, no source. */
const U_HELD = 0.05;

/** Of air at sea level, for scales. */
const AIR_KG_PER_M3 = 1.2;

export function gaugeOf({ unit }: Pick<AmountMade, 'unit'>): Gauge {
  return unit === 'kg' ? { kind: 'mass', airDensityKgPerM3: AIR_KG_PER_M3 } : { kind: 'volume' };
}

/** As it counts what was measured; for what is still to be poured its step counts too. */
export function measureOf(one: Pick<AmountMade, 'unit' | 'uShare' | 'uEach'>, step = 0.01): Measure {
  return { gauge: gaugeOf(one), step, uShare: one.uShare, uEach: one.uEach };
}

function entriesOf(amounts: readonly AmountMade[], fluid: Fluid): Entry[] {
  return amounts.map((one) => ({
    id: `${one.kind} (${one.event})`,
    kind: one.kind,
    amount: one.amount,
    tC: one.tC,
    uTemperatureK: one.uTemperatureK,
    fluid,
    measure: measureOf(one),
    measureId: one.measure,
  }));
}

/** °C of the new fluid as it is poured. */
export function freshC(procedure: ProcedureDescription, progress: Progress): number {
  return numberMeant(procedure, progress, 'fresh-temperature') ?? WORKSHOP_C;
}

/** A number entered for its meaning. */
export function numberMeant(
  { steps }: ProcedureDescription,
  progress: Progress,
  means: (typeof MEANINGS)[number],
): number | null {
  for (const step of steps)
    if (step.kind === 'enter')
      for (const ask of step.asks) {
        const value = ask.means === means ? entryOf(progress, ask.name)?.value : undefined;
        if (typeof value === 'number') return value;
      }
  return null;
}

/** How much to fill in for what came out; null without a fluid, or while nothing came out. `levelC`: of the levels. */
export function refillOf(
  { fluid }: Pick<BenchDescription, 'fluid'>,
  procedure: ProcedureDescription,
  progress: Progress,
  levelC: number,
): (Refill & { readonly pourC: number }) | null {
  const gone = standing(progress).filter(({ kind }) => kind !== 'in');
  if (fluid === null || gone.length === 0) return null;
  const fresh = fluidOf(fluid);
  const pourC = freshC(procedure, progress);
  const plan = refillPlan(entriesOf(gone, fresh), procedure.allowances, {
    ...{ fresh, levelC, pourC, uPouredK: U_POURED_K },
  });
  return { ...plan, pourC };
}

/** Litres poured in so far, as they were poured; kilograms by the density of the fluid. */
export function filledL({ fluid }: Pick<BenchDescription, 'fluid'>, progress: Progress): number {
  const oil = fluid && fluidOf(fluid);
  return standing(progress)
    .filter(({ kind }) => kind === 'in')
    .reduce((sum, one) => {
      const { amount, unit, tC } = one;
      if (unit === 'L' || oil === null) return sum + amount;
      return sum + (amount * kgPerUnit(oil, gaugeOf(one), tC).value) / kgPerUnit(oil, { kind: 'volume' }, tC).value;
    }, 0);
}

/**
 * In − out − spilled − left behind against what the level says from the first reading to this one. Null where there is
 * nothing to hold against each other: no fluid, no amounts, levels that do not compare, a vessel of which nothing is known.
 */
export function balanceOf(bench: BenchDescription, progress: Progress, last: Reading): Balance | null {
  const { firstReading: first, prior } = progress;
  const amounts = standing(progress);
  if (bench.fluid === null || first === null || first.id === last.id || amounts.length === 0) return null;
  const difference = match(first, last, bench.measure.match ?? undefined);
  if (!difference.comparable) return null;
  const levels = {
    beforeMm: first.levelMm,
    afterMm: last.levelMm,
    uDifferenceMm: difference.difference.uMm,
  };
  const change =
    bench.vessel !== null
      ? changeByVessel(vesselOf(bench.vessel), last.referenceC, levels)
      : priorChange(prior, levels);
  if (change === null || !change.inRange) return null;
  return balance(entriesOf(amounts, fluidOf(bench.fluid)), change, levels, last.referenceC);
}

function priorChange(prior: ResponsePrior | null, levels: Parameters<typeof changeByFactor>[2]) {
  return prior === null ? null : changeByFactor(prior.mmPerLitre, prior.spread, levels);
}

/** Share of fresh fluid in all of it once the machine has run; null while it is not told how much the machine holds. */
export function freshOf(
  { fluid }: Pick<BenchDescription, 'fluid'>,
  procedure: ProcedureDescription,
  progress: Progress,
  levelC: number,
): Fresh | null {
  const heldL = numberMeant(procedure, progress, 'fluid-held');
  if (fluid === null || heldL === null || !(heldL > 0)) return null;
  const oil = fluidOf(fluid);
  const heldKg = heldL * kgPerUnit(oil, { kind: 'volume' }, levelC).value;
  const happened = [
    ...standing(progress).map((one) => ({ event: one.event, one })),
    ...progress.starts.map((event) => ({ event, one: null })),
  ].sort((a, b) => a.event - b.event);
  const exchanges = happened.map(({ one }): Exchange => {
    if (one === null) return { kind: 'run' };
    const per = kgPerUnit(oil, gaugeOf(one), one.tC).value;
    const kg = one.amount * per;
    const uKg = Math.sqrt(sq(kg * one.uShare) + sq(one.uEach * per));
    return { kind: one.kind === 'in' ? 'add' : 'drain', mass: { kg, uKg } };
  });
  const before = { vessel: { kg: heldKg, uKg: U_HELD * heldKg }, circuit: { kg: 0, uKg: 0 }, freshBefore: 0 };
  try {
    return freshShares(before, [...exchanges, { kind: 'run' }]).all;
  } catch (error) {
    // More came out than the machine was said to hold.
    if (error instanceof RangeError) return null;
    throw error;
  }
}

function sq(value: number): number {
  return value * value;
}
