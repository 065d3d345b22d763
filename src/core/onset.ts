/**
 * Has the level begun to move? Two one-sided cumulative sums of log-likelihood ratios (Page, Biometrika 41 (1954)
 * 100–115) of samples against what was foretold of them. By Lorden (Annals of Mathematical Statistics 42 (1971)
 * 1897–1908) an alarm at a sum of h comes, for independent noise, no oftener than once in e^h samples and side.
 */

export interface OnsetState {
  up: number;
  down: number;
  /** When each sum was last nought: where the change began. */
  upSinceS: number;
  downSinceS: number;
}

/** e^14 is 1.2 million samples. */
export const ALARM_AT = 14;
/** A sample counts for no more than this many standard deviations, so that one wild value is no alarm. */
const MOST_DEVIATIONS = 4;
/** Shift that is looked for, in standard deviations: at most this. */
const MOST_SHIFT = 2;

export function emptyOnset(): OnsetState {
  return { up: 0, down: 0, upSinceS: 0, downSinceS: 0 };
}

/** `shift`: the change to look for; `u`: standard deviation of `off`. Returns when a change began, or null. */
export function hearOnset(state: OnsetState, tS: number, off: number, u: number, shift: number): number | null {
  const m = Math.min(shift / u, MOST_SHIFT);
  const x = Math.min(Math.max(off / u, -MOST_DEVIATIONS), MOST_DEVIATIONS);
  if (state.up <= 0) state.upSinceS = tS;
  if (state.down <= 0) state.downSinceS = tS;
  state.up = Math.max(0, state.up + m * (x - m / 2));
  state.down = Math.max(0, state.down - m * (x + m / 2));
  if (state.up < ALARM_AT && state.down < ALARM_AT) return null;
  return state.up >= ALARM_AT ? state.upSinceS : state.downSinceS;
}
