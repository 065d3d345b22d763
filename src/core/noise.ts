/**
 * How much the mean of a run of samples is off by noise, learned from the stream itself at block lengths of 1, 2, 4, …
 * samples: the variance of three neighbouring block means about their own straight line. A level that moves steadily
 * adds nothing to it; correlated noise shows as a mean that sharpens more slowly than 1/n.
 * The three-sample variance of NIST Special Publication 1065 (2008), 5.2.9, on block means, with unequal spacing allowed.
 */

export interface NoiseState {
  scales: Scale[];
  /** Variance of the oscillation in the last seconds where it was least: falls at once, rises within a minute. */
  floor: number;
  /** Since when the floor is watched; null before the first look. */
  sinceS: number | null;
  lookedS: number;
  /** Mean time between samples. */
  stepS: number;
  lastS: number | null;
}

/** Blocks of 2^k samples. */
interface Scale {
  /** The half-made block. */
  half: Mean | null;
  before: Mean | null;
  last: Mean | null;
  /** Variance of one block mean. */
  variance: number;
  /** How many looks it rests on; no more than MEMORY count. */
  looks: number;
  /** Looks in a row that showed far more than is known. */
  over: number;
}

interface Mean {
  readonly t: number;
  readonly y: number;
}

const SCALES = 14;
/** So many of the latest looks are remembered at every block length. */
const MEMORY = 40;
/** And so many while there is more than noise in the stream. */
const RESTLESS_MEMORY = 8;
/** A scale counts once it has been looked at so often. */
const FEWEST = 5;
/** A look counts as no more than this multiple of what is known: a step or a wave is no noise. */
const MOST = 6;
/** So many such looks in a row are no waves: the noise itself has grown, as after values that were all the same. */
const GROWN = 8;
/** Over longer blocks than this the level may bend, and noise is no more what makes them differ. */
const LONGEST_BLOCK_S = 8;
/** Until longer blocks have been seen, noise is taken as correlated over this long. */
const UNSEEN_CORRELATION_S = 0.2;

export function emptyNoise(): NoiseState {
  return { scales: [], floor: 0, sinceS: null, lookedS: 0, stepS: 0, lastS: null };
}

/** `quiet`: nothing but noise is in the stream. What was learned then is not overwritten while it is not. */
export function hear(state: NoiseState, t: number, y: number, quiet: boolean): void {
  if (state.lastS !== null) {
    const step = t - state.lastS;
    // Values that came in one burst tell nothing of how often they are measured.
    if (step > 0)
      state.stepS = state.stepS === 0 ? step : state.stepS + (Math.min(step, 4 * state.stepS) - state.stepS) / MEMORY;
  }
  state.lastS = t;
  let mean: Mean | null = { t, y };
  for (let k = 0; k < SCALES && mean !== null; k++) {
    let scale = state.scales[k];
    if (scale === undefined) {
      scale = { half: null, before: null, last: null, variance: 0, looks: 0, over: 0 };
      state.scales.push(scale);
    }
    // Between neighbours hardly anything but noise makes a difference, between blocks a movement does.
    if (quiet || (k === 0 && scale.looks <= RESTLESS_MEMORY)) look(scale, mean, quiet);
    else forgetNeighbours(scale);
    const { half } = scale;
    scale.half = half === null ? mean : null;
    mean = half === null ? null : { t: (half.t + mean.t) / 2, y: (half.y + mean.y) / 2 };
  }
}

/** What comes next has nothing to do with what was: the level has moved, or time was lost. What is learned stays. */
export function interrupt(state: NoiseState): void {
  state.lastS = null;
  for (const scale of state.scales) {
    scale.half = null;
    scale.before = null;
    scale.last = null;
  }
}

function forgetNeighbours(scale: Scale): void {
  scale.before = null;
  scale.last = null;
}

function look(scale: Scale, mean: Mean, quiet: boolean): void {
  const { before, last } = scale;
  scale.before = last;
  scale.last = mean;
  if (before === null || last === null || !(mean.t > before.t)) return;
  const share = (last.t - before.t) / (mean.t - before.t);
  const off = last.y - before.y - share * (mean.y - before.y);
  const seen = (off * off) / (1 + share * share + (1 - share) * (1 - share));
  const known = scale.looks >= FEWEST;
  const most = MOST * scale.variance + 1e-18;
  scale.over = known && seen > most ? scale.over + 1 : 0;
  if (scale.over >= GROWN) {
    scale.over = 0;
    scale.looks = 1;
    scale.variance = seen;
    return;
  }
  const counted = known ? Math.min(seen, most) : seen;
  scale.looks = Math.min(scale.looks + 1, quiet ? MEMORY : RESTLESS_MEMORY);
  scale.variance += (counted - scale.variance) / scale.looks;
}

/** Variance of a single sample about its neighbours; null while too little is known. */
export function sampleVariance({ scales }: NoiseState): number | null {
  const first = scales[0];
  return first === undefined || first.looks < FEWEST ? null : first.variance;
}

/**
 * Long-run variance per sample: the mean of n samples, n large, has this variance over n. The largest of what the block
 * lengths tell, up to those that the level's own movements bend; null while too little is known.
 */
export function longRunVariance(state: NoiseState): number | null {
  const single = sampleVariance(state);
  if (single === null || !(state.stepS > 0)) return null;
  let largest = single;
  let longestS = state.stepS;
  let samples = 1;
  for (const { looks, variance } of state.scales) {
    if (looks < FEWEST) break;
    if (samples > 1 && samples * state.stepS > LONGEST_BLOCK_S) break;
    longestS = samples * state.stepS;
    largest = Math.max(largest, variance * samples);
    samples *= 2;
  }
  const unseen = longestS >= 4 * UNSEEN_CORRELATION_S ? 1 : 1 + (2 * UNSEEN_CORRELATION_S) / state.stepS;
  return Math.max(largest, single * unseen);
}

const FALL_S = 3;
const RISE_S = 60;
const FLOOR_AFTER_S = 20;

/** What is more than so many times the floor is a wave, and lifts it no more than this would. */
const WAVE_TIMES = 3;

/** Takes note of the variance of the last seconds; `least`: what single samples have at any rate. */
export function watchFloor(state: NoiseState, tS: number, variance: number, least: number): void {
  if (state.sinceS === null) {
    state.sinceS = tS;
    state.floor = variance;
  } else {
    const share = Math.max(0, tS - state.lookedS) / (variance < state.floor ? FALL_S : RISE_S);
    const counted = Math.min(variance, WAVE_TIMES * Math.max(state.floor, least));
    state.floor += (counted - state.floor) * Math.min(1, share);
  }
  state.lookedS = tS;
}

/** The variance that never dies: noise of the sensor. 0 before it was watched for long enough to tell. */
export function noiseFloor(state: NoiseState, tS: number): number {
  return state.sinceS !== null && tS - state.sinceS >= FLOOR_AFTER_S ? state.floor : 0;
}
