/**
 * Has the level come to rest? Samples are screened, listened to for the onset of a change, and kept in blocks; windows of
 * many lengths are judged at once against "a plateau and what has still to settle", and the longest that fits is taken.
 */
import type { TimeToGo } from './events.ts';
import { believe, type Weighted } from './exponential.ts';
import { blockOf, joinLevels, type LevelBlock, type LevelPoint } from './level-blocks.ts';
import { emptyNoise, hear, interrupt, longRunVariance, type NoiseState, sampleVariance } from './noise.ts';
import { studentQuantile } from './normal.ts';
import { emptyOnset, hearOnset, type OnsetState } from './onset.ts';
import { emptyScreening, forgetRing, type ScreeningState, screen } from './screening.ts';
import { append, coarsened, emptySeries, forgetBefore, type Series } from './series.ts';
import { bestWindow, fitLevel, type SteadyDemand, timeToSettle } from './settling.ts';
import { waves } from './waves.ts';

/** Plain data. */
export interface SteadinessState {
  originUs: number;
  originMm: number;
  series: Series<LevelBlock>;
  noise: NoiseState;
  screening: ScreeningState;
  /** Values that may be wild or the beginning of a move. */
  waiting: LevelPoint[];
  setAside: number;
  onset: OnsetState;
  expected: Expected | null;
  last: LevelPoint | null;
  /** As good as settled: from here on a move is news. */
  resting: boolean;
  /** When it was last found so. */
  stillUs: number;
  /** Where it was said to come to rest, and how far from there it may be. */
  claim: { readonly c: number; readonly withinMm: number } | null;
  /** When it left that place without a jump: something slow is going on, and slow ways of settling are believed in. */
  creptUs: number | null;
  /** Nothing but noise is left in the level. */
  quiet: boolean;
  /** When the level last began to move; null where it has not been seen to. */
  changedUs: number | null;
}

/** What was last foretold of the level. */
interface Expected {
  readonly tS: number;
  readonly c: number;
  readonly a: number;
  readonly tauS: number;
  readonly u: number;
  /** Standard deviation of one sample. */
  readonly sampleU: number;
}

export interface Calm {
  /** How long the window reaches back. */
  readonly spanUs: number;
  readonly used: number;
  readonly setAside: number;
  readonly driftMmPerMin: number;
  readonly uDriftMmPerMin: number;
  readonly meanMm: number;
  readonly meanRawMm: number;
  readonly meanTemperatureC: number;
  /** Standard deviation about the fit. */
  readonly noiseMm: number;
  /** Independent samples that the kept ones are worth. */
  readonly effective: number;
  readonly first: LevelPoint;
  readonly last: LevelPoint;
  /** Level as it stands, and where it will come to rest. */
  readonly levelMm: number;
  /** Level minus where it will come to rest, with its standard uncertainty. */
  readonly restMm: number;
  readonly uRestMm: number;
  /** |rest| and as many standard uncertainties as asked for. */
  readonly boundMm: number;
  /** As good as settled before, and nothing tells of a movement since. */
  readonly resting: boolean;
  /** Mean of the window minus where the level will come to rest. */
  readonly meanAboveRestMm: number;
  readonly uMeanAboveRestMm: number;
  /** Height of the waves above the noise that never dies. */
  readonly swingMm: number;
  readonly wildShare: number;
  /** When the level last began to move. */
  readonly changedUs: number | null;
  /** How long until |rest| and its doubt are within the tolerance, if nothing else happens. */
  readonly settled: TimeToGo | null;
}

const US_PER_S = 1e6;
const FEWEST_BLOCKS = 4;
/** A level stays on one step of a coarse sensor for about this long. */
const STAYS_S = 1;
/** With waves and a remainder below this share of the tolerance there is nothing but noise. */
const QUIET = 0.5;
/** A level with a bound of no more tolerances than this counts as resting; */
const RESTING = 1.3;
/** and one that rested until more than this, as long as nothing tells that it moves: doubt alone is no movement. */
const IN_DOUBT = 2.5;
/** A level that rested moves once it has been seen to for so long; the onset of a change needs no such proof. */
const MOVES_FOR_US = 0.4e6;
/** A level this share of the tolerance away from where it was said to rest has crept away. */
const LEAVES = 0.7;
const CREEP_TOLD_US = 60e6;
/** Values no farther apart than this share of the tolerance, or so many steps or standard deviations, are never wild. */
const HARMLESS = { tolerances: 0.5, steps: 1.6, deviations: 4.5 };

export function emptySteadiness(): SteadinessState {
  return {
    originUs: 0,
    originMm: 0,
    series: emptySeries(),
    noise: emptyNoise(),
    screening: emptyScreening(),
    waiting: [],
    setAside: 0,
    onset: emptyOnset(),
    expected: null,
    last: null,
    resting: false,
    stillUs: 0,
    claim: null,
    creptUs: null,
    quiet: false,
    changedUs: null,
  };
}

/** What is before nothing is known of: samples start anew, what was learned of the noise stays. */
export function breakOff(state: SteadinessState): void {
  startAnew(state, null);
  state.waiting = [];
  forgetRing(state.screening);
  state.last = null;
}

/** Takes a sample. Returns true where it shows that the level has begun to move. */
export function addPoint(state: SteadinessState, point: LevelPoint, demand: SteadyDemand): boolean {
  if (state.series.levels.length === 0 && state.waiting.length === 0) {
    state.originUs = point.tUs;
    state.originMm = point.mm;
  }
  state.last = point;
  const tS = (point.tUs - state.originUs) / US_PER_S;
  const harmless = Math.max(
    HARMLESS.tolerances * demand.toleranceMm,
    HARMLESS.steps * demand.resolutionMm,
    HARMLESS.deviations * Math.sqrt(sampleVariance(state.noise) ?? 0),
  );
  switch (screen(state.screening, tS, point.mm - state.originMm, harmless)) {
    case 'wait':
      state.waiting.push(point);
      return false;
    case 'moved': {
      const moved = [...state.waiting, point];
      // A level that is still on its way is expected to move; waves are not to cost what is known of its settling.
      if (state.resting) startAnew(state, moved[0] as LevelPoint);
      state.waiting = [];
      forgetRing(state.screening);
      for (const one of moved) {
        screen(
          state.screening,
          (one.tUs - state.originUs) / US_PER_S,
          one.mm - state.originMm,
          Number.POSITIVE_INFINITY,
        );
        keep(state, one, demand);
      }
      return true;
    }
    case 'kept':
      state.setAside += state.waiting.length;
      state.waiting = [];
      return keep(state, point, demand);
  }
}

function startAnew(state: SteadinessState, from: LevelPoint | null): void {
  state.series = emptySeries();
  state.setAside = 0;
  interrupt(state.noise);
  state.onset = emptyOnset();
  state.expected = null;
  forgetRest(state);
  if (from === null) return;
  state.changedUs = from.tUs;
}

function keep(state: SteadinessState, point: LevelPoint, demand: SteadyDemand): boolean {
  const tS = (point.tUs - state.originUs) / US_PER_S;
  const y = point.mm - state.originMm;
  hear(state.noise, tS, y, state.quiet);
  append(state.series, blockOf(point, tS, y, state.setAside), joinLevels, demand.longestS);
  state.setAside = 0;
  const { expected } = state;
  if (expected === null || !state.resting) return false;
  const foretold = expected.c + expected.a * Math.exp((expected.tS - tS) / expected.tauS);
  const u = Math.sqrt(expected.sampleU * expected.sampleU + expected.u * expected.u);
  const since = hearOnset(state.onset, tS, y - foretold, u, demand.toleranceMm);
  if (since === null) return false;
  forgetBefore(state.series, since);
  interrupt(state.noise);
  state.onset = emptyOnset();
  state.expected = null;
  forgetRest(state);
  state.changedUs = state.originUs + Math.round(since * US_PER_S);
  return true;
}

function forgetRest(state: SteadinessState): void {
  state.resting = false;
  state.quiet = false;
  state.claim = null;
}

/** Judges the level; null while too little is known of it. `airy`: there are signs of air, which leaves slowly. */
export function judge(
  state: SteadinessState,
  nowUs: number,
  demand: SteadyDemand,
  window: { readonly lowC: number; readonly highC: number },
  airy = false,
): Calm | null {
  const blocks = coarsened(state.series, joinLevels);
  const single = sampleVariance(state.noise);
  const longRun = longRunVariance(state.noise);
  const newest = blocks[0];
  if (newest === undefined || blocks.length < FEWEST_BLOCKS || single === null || longRun === null) return null;
  const nowS = (nowUs - state.originUs) / US_PER_S;
  const { resolutionMm, toleranceMm, sigmas } = demand;
  const { stepS } = state.noise;
  // One step wide (GUM F.2.2.1). What noise does not shake out of it stays for as long as the level stays on its step:
  // a share e^(−4π²σ²/step²) (Widrow, Kollár and Liu, IEEE Trans. Instrum. Meas. 45 (1996) 353–361).
  const step = (resolutionMm * resolutionMm) / 12;
  const shaken = step > 0 ? Math.exp((-Math.PI * Math.PI * Math.max(0, single - step)) / (3 * step)) : 0;
  const perSample = Math.max(longRun, step, 1e-18) + (stepS > 0 ? (step * shaken * STAYS_S) / stepS : 0);
  const wave = waves(state.noise, state.originUs / US_PER_S, blocks, nowS, single, step, toleranceMm);
  const variances = blocks.map(({ n }, i) => perSample / n + (wave.ofMeans[i] as number));
  const fitted = fitLevel(
    blocks,
    variances,
    nowS,
    demand,
    airy || (state.creptUs !== null && nowUs - state.creptUs < CREEP_TOLD_US),
  );
  const rest = believe(fitted.fits, ({ a, varA }) => [a, varA]);
  const now = believe(fitted.fits, ({ a, c, varA, varC, covAC }) => [a + c, varA + varC + 2 * covAC]);
  const drift = believe(fitted.fits, ({ a, varA, tauS }) => [(-60 * a) / tauS, (3600 * varA) / (tauS * tauS)]);
  const swingMm = Math.sqrt(2 * wave.excess);
  // Plateau and remainder are found from the samples themselves: of few, each takes a degree of freedom.
  let samples = 0;
  for (let i = 0; i < fitted.count; i++) samples += (blocks[i] as LevelBlock).n;
  const deviations = studentQuantile(sigmas, Math.max(2, samples * Math.min(1, single / perSample) - 2));
  const boundMm = Math.abs(rest.mean) + deviations * rest.u;
  const moves = Math.abs(rest.mean) > rest.u;
  const doubtMm = (state.resting && !moves && !airy ? IN_DOUBT : RESTING) * toleranceMm;
  const left = hasLeft(state, nowUs, boundMm, rest.mean, now.mean, toleranceMm);
  if (boundMm <= doubtMm) state.stillUs = nowUs;
  const still = boundMm <= doubtMm || (state.resting && nowUs - state.stillUs < MOVES_FOR_US);
  state.resting = still && !left;
  if (!state.resting) state.onset = emptyOnset();
  state.quiet = swingMm < QUIET * toleranceMm && Math.abs(rest.mean) + rest.u < QUIET * toleranceMm;
  foretell(state, fitted.fits, nowS, now.u, Math.sqrt(perSample + wave.excess * Math.max(1, 0.5 / stepS)));
  const taken = bestWindow(blocks, variances, fitted, window);
  const variance = Math.max(single, wave.variance);
  return {
    spanUs: nowUs - taken.whole.first.tUs,
    used: taken.whole.n,
    setAside: taken.whole.setAside,
    driftMmPerMin: drift.mean,
    uDriftMmPerMin: drift.u,
    meanMm: state.originMm + taken.whole.y,
    meanRawMm: taken.whole.rawMm,
    meanTemperatureC: taken.whole.temperatureC,
    noiseMm: Math.sqrt(variance),
    // A sensor without any noise: each sample counts for itself.
    effective: variance > 0 && taken.variance > 0 ? variance / taken.variance : taken.whole.n,
    first: taken.whole.first,
    last: taken.whole.last,
    levelMm: state.originMm + now.mean,
    restMm: rest.mean,
    uRestMm: rest.u,
    boundMm,
    resting: state.resting,
    meanAboveRestMm: taken.above.mean,
    uMeanAboveRestMm: taken.above.u,
    swingMm,
    wildShare: state.screening.wildShare,
    changedUs: state.changedUs,
    settled: timeToSettle(fitted, blocks, rest.u, deviations, toleranceMm),
  };
}

/** Holds the level to what was said of it: whether it is no longer where it was said to rest. */
function hasLeft(
  state: SteadinessState,
  nowUs: number,
  boundMm: number,
  restMm: number,
  now: number,
  toleranceMm: number,
): boolean {
  if (!state.resting) state.claim = null;
  if (state.claim === null && boundMm <= toleranceMm)
    state.claim = { c: now - restMm, withinMm: Math.max(LEAVES * toleranceMm, 1.1 * Math.abs(restMm)) };
  if (state.claim === null || Math.abs(now - state.claim.c) <= state.claim.withinMm) return false;
  state.creptUs = nowUs;
  state.claim = null;
  return true;
}

function foretell(state: SteadinessState, fits: readonly Weighted[], tS: number, u: number, sampleU: number): void {
  const best = fits.reduce((a, b) => (b.weight > a.weight ? b : a));
  state.expected = { tS, c: best.c, a: best.a, tauS: best.tauS, u, sampleU };
}
