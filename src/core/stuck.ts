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
  /** When it last stood at the end of its range; null for not lately. */
  endUs: number | null;
  high: EndOfRange;
  low: EndOfRange;
  /** As pairs and equal, of pairs away from both ends. */
  inner: { pairs: number; equal: number };
}

/** The farthest signal to one side that was ever seen, and how often it comes again. */
export interface EndOfRange {
  signal: number | null;
  /** Hits among the latest signals, fading. */
  hits: number;
}

const MEMORY = 400;
/** Natural logarithm of one in a million. */
const UNLIKELY = -13.8;
const FEWEST_PAIRS = 20;
const FEWEST_REPEATS = 4;
/** Hits of an end fade within so many signals; so many are no chance, where so small a share of neighbours is equal. */
const END = { memory: 10, hits: 2.2, equalShare: 0.15 };

export function emptyStuck(): StuckState {
  return {
    value: null,
    run: 0,
    sinceUs: 0,
    pairs: 0,
    equal: 0,
    atC: 0,
    endUs: null,
    high: noEnd(),
    low: noEnd(),
    inner: { pairs: 0, equal: 0 },
  };
}

function noEnd(): EndOfRange {
  return { signal: null, hits: 0 };
}

function hearEnd(end: EndOfRange, value: number, side: 1 | -1): void {
  const isHit = value === end.signal;
  end.hits += (isHit ? 1 : 0) - end.hits / END.memory;
  if (end.signal !== null && side * (value - end.signal) <= 0) return;
  end.signal = value;
  end.hits = 0;
}

/**
 * Signals that come up to the same farthest value again and again, and never beyond it: that is where the sensor ends,
 * whatever level that is with the speed of sound of the moment.
 */
export function isAtItsEnd({ high, low, inner: { pairs, equal } }: StuckState): boolean {
  if (pairs < FEWEST_PAIRS || (equal + 1) / (pairs + 2) > END.equalShare) return false;
  return Math.max(high.hits, low.hits) >= END.hits;
}

function hearInner({ inner, high, low, value: before }: StuckState, value: number): void {
  if (before === null || [before, value].some((one) => one === high.signal || one === low.signal)) return;
  const fade = inner.pairs > MEMORY ? MEMORY / inner.pairs : 1;
  inner.pairs = inner.pairs * fade + 1;
  inner.equal = inner.equal * fade + (value === before ? 1 : 0);
}

export function hearRepeat(state: StuckState, tUs: number, value: number, temperatureC: number): void {
  hearEnd(state.high, value, 1);
  hearEnd(state.low, value, -1);
  hearInner(state, value);
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
