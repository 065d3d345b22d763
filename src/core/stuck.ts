/**
 * A sensor that goes on sending its last value. Coarse steps repeat themselves too, so a run of equal values counts
 * against how often neighbours were equal before: a run of n has the probability p^n.
 */

export interface StuckState {
  value: number | null;
  /** How many times in a row after the first. */
  run: number;
  sinceUs: number;
  /** Pairs of neighbours seen, and how many of them were equal; runs under way not counted. */
  pairs: number;
  equal: number;
  /** Temperature at which the run began. */
  atC: number;
}

const MEMORY = 400;
/** Natural logarithm of one in a million. */
const UNLIKELY = -13.8;
const FEWEST_PAIRS = 20;
const FEWEST_REPEATS = 4;

export function emptyStuck(): StuckState {
  return { value: null, run: 0, sinceUs: 0, pairs: 0, equal: 0, atC: 0 };
}

export function hearRepeat(state: StuckState, tUs: number, value: number, temperatureC: number): void {
  if (value === state.value) {
    state.run++;
    return;
  }
  if (state.value !== null && !isUnlikely(state)) {
    const fade = state.pairs > MEMORY ? MEMORY / state.pairs : 1;
    state.pairs = state.pairs * fade + state.run + 1;
    state.equal = state.equal * fade + state.run;
  }
  state.value = value;
  state.run = 0;
  state.sinceUs = tUs;
  state.atC = temperatureC;
}

/**
 * A run longer than its own bench makes likely. How often neighbours are equal depends on where between two steps the
 * level stands, so the square root of the probability counts, and where steps are coarse against the noise nothing is said.
 */
export function isUnlikely({ run, pairs, equal }: StuckState): boolean {
  if (pairs < FEWEST_PAIRS || run < FEWEST_REPEATS) return false;
  const p = (equal + 1) / (pairs + 2);
  return p <= 0.5 && (run * Math.log(p)) / 2 < UNLIKELY;
}

/** The level should have moved by more than its steps with the temperature, and did not. */
export function isDeaf(
  state: StuckState,
  temperatureC: number,
  mmPerK: number,
  stepMm: number,
  enoughMm: number,
): boolean {
  return state.run >= FEWEST_REPEATS && Math.abs(mmPerK * (temperatureC - state.atC)) > Math.max(3 * stepMm, enoughMm);
}
