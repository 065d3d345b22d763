/**
 * Values that stand alone. A frame without a check value can be damaged and still look well formed, so one that jumps
 * away from its neighbours is suspect until another follows it: a real change is believed from its second value on, a
 * damaged line never. Rows with a check value are not asked.
 */
import { median } from './statistics.ts';

/** What is remembered of a channel; plain data. */
export interface LoneState {
  /** The last value believed. */
  value: number | null;
  /** Absolute steps between the values last believed, newest last. */
  steps: number[];
  /** On which side of the last believed value the doubted ones lie, one after the other. */
  away: number[];
  /** Which of the last values stood alone, newest last. */
  recent: boolean[];
}

export function nothingLone(): LoneState {
  return { value: null, steps: [], away: [], recent: [] };
}

/** A median of fewer says too little; of more it lags behind the signal. */
const STEPS = { least: 4, most: 9 };
/** This many usual steps make a jump. */
const USUAL_STEPS = 10;
/** A jump is at least so many resolution steps, and at least this share of the value. */
const LEAST = { resolutions: 4, share: 1e-3 };
/** So many doubted values in a row, whatever their side, are no damaged lines: the signal itself is wild. */
const NO_ACCIDENT = 3;
/** Nor are so many among the last ones. */
const OFTEN = { alone: 3, among: 10 };

/** Whether `value` stands alone so far. `resolution` in the unit of the value, 0 where unknown. */
export function standsAlone(state: LoneState, value: number, resolution: number): boolean {
  if (state.value === null) {
    state.value = value;
    return false;
  }
  const step = value - state.value;
  const jumps = Math.abs(step) > limit(state, resolution);
  const side = Math.sign(step);
  const accident =
    !state.away.includes(side) &&
    state.away.length + 1 < NO_ACCIDENT &&
    state.recent.filter((alone) => alone).length < OFTEN.alone;
  state.recent.push(jumps && accident);
  if (state.recent.length > OFTEN.among) state.recent.shift();
  if (jumps) {
    if (accident) {
      state.away.push(side);
      return true;
    }
    // The signal has moved: how far it steps from here on has to be learned anew.
    state.steps = [];
  } else {
    state.steps.push(Math.abs(step));
    if (state.steps.length > STEPS.most) state.steps.shift();
  }
  state.away = [];
  state.value = value;
  return false;
}

function limit({ value, steps }: LoneState, resolution: number): number {
  if (steps.length < STEPS.least) return Number.POSITIVE_INFINITY;
  return Math.max(USUAL_STEPS * median(steps), LEAST.resolutions * resolution, LEAST.share * Math.abs(value ?? 0));
}
