/**
 * Has the level come to rest? Samples are screened, listened to for the onset of a change, and kept in blocks; windows of
 * many lengths are judged at once against "a plateau and what has still to settle", and the longest that fits is taken.
 */
import { type Belief, believe, fitWindows, type Weighted, type WindowFit, weigh } from './exponential.ts';
import { join, type Moments, momentsOf, slopeOf } from './moments.ts';
import {
  emptyNoise,
  hear,
  interrupt,
  longRunVariance,
  type NoiseState,
  noiseFloor,
  sampleVariance,
  watchFloor,
} from './noise.ts';
import { emptyOnset, hearOnset, type OnsetState } from './onset.ts';
import { emptyScreening, forgetRing, type ScreeningState, screen } from './screening.ts';
import { append, emptySeries, forgetBefore, joined, newestFirst, type Series } from './series.ts';

/** One compensated level with what it rests on. */
export interface LevelPoint {
  readonly tUs: number;
  readonly seq: number;
  readonly mm: number;
  readonly rawMm: number;
  readonly temperatureC: number;
}

/** What is asked of the level. */
export interface SteadyDemand {
  readonly toleranceMm: number;
  /** How many standard uncertainties stand for the confidence asked for. */
  readonly sigmas: number;
  /** Longest plausible time constant of settling. */
  readonly settlingS: number;
  /** How far back is looked at most. */
  readonly longestS: number;
  readonly resolutionMm: number;
}

/** Neighbouring samples: their moments (t in s and y in mm from the origins of the state), and what they rest on. */
export interface LevelBlock extends Moments {
  readonly rawMm: number;
  readonly temperatureC: number;
  readonly lowC: number;
  readonly highC: number;
  readonly setAside: number;
  readonly first: LevelPoint;
  readonly last: LevelPoint;
}

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
  /** Mean of the window minus where the level will come to rest. */
  readonly meanAboveRestMm: number;
  readonly uMeanAboveRestMm: number;
  /** Height of the waves above the noise that never dies. */
  readonly swingMm: number;
  readonly wildShare: number;
  /** When the level last began to move. */
  readonly changedUs: number | null;
  /** How long until |rest| and its doubt are within the tolerance, if nothing else happens. */
  readonly settled: { readonly s: number; readonly lowS: number; readonly highS: number | null } | null;
}

const US_PER_S = 1e6;
/** Waves are looked for in the last so many seconds and samples. */
const SWING = { overS: 3, samples: 6 };
/** The past is looked at for waves in pieces at least this long. */
const PIECE_S = 1.5;
/** Steps of the time constants tried, and how they begin. */
const SHORTEST_TAU_S = 3;
const TAU_RATIO = 1.3;
/** Slower than the longest plausible time constant is thought of too, with less and less belief: it looks like a ramp. */
const SLOWER = 6;
/** Windows tried, in blocks: each longer than the last by this factor. */
const WINDOW_RATIO = 1.25;
const FEWEST_BLOCKS = 4;
/** A level stays on one step of a coarse sensor for about this long. */
const STAYS_S = 1;
/** With waves and a remainder below this share of the tolerance there is nothing but noise. */
const QUIET = 0.5;
/** A level with a bound of no more tolerances than this counts as resting until it is seen to move. */
const RESTING = 1.3;
/** A level this share of the tolerance away from where it was said to rest has crept away. */
const LEAVES = 0.7;
const CREEP_TOLD_US = 60e6;
/** A window fits while χ² is within this many of its standard deviations. */
const MISFIT = 3.5;
/** What may be still to go before anything is seen, in tolerances. */
const PRIOR_TOLERANCES = 4;
/** Values no farther apart than this share of the tolerance, or so many steps, are never wild. */
const HARMLESS = { tolerances: 0.5, steps: 1.6 };

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
  const harmless = Math.max(HARMLESS.tolerances * demand.toleranceMm, HARMLESS.steps * demand.resolutionMm);
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

function blockOf(point: LevelPoint, tS: number, y: number, setAside: number): LevelBlock {
  const { rawMm, temperatureC } = point;
  const { n, t, tt, ty, yy, lag, firstY, lastY, fromT, toT } = momentsOf(tS, y);
  return {
    n,
    t,
    y,
    tt,
    ty,
    yy,
    lag,
    firstY,
    lastY,
    fromT,
    toT,
    rawMm,
    temperatureC,
    lowC: temperatureC,
    highC: temperatureC,
    setAside,
    first: point,
    last: point,
  };
}

export function joinLevels(older: LevelBlock, newer: LevelBlock): LevelBlock {
  const share = newer.n / (older.n + newer.n);
  // Written out: this is the busiest object of the core, and a spread costs ten times as much.
  const { n, t, y, tt, ty, yy, lag, firstY, lastY, fromT, toT } = join(older, newer);
  return {
    n,
    t,
    y,
    tt,
    ty,
    yy,
    lag,
    firstY,
    lastY,
    fromT,
    toT,
    rawMm: older.rawMm + (newer.rawMm - older.rawMm) * share,
    temperatureC: older.temperatureC + (newer.temperatureC - older.temperatureC) * share,
    lowC: Math.min(older.lowC, newer.lowC),
    highC: Math.max(older.highC, newer.highC),
    setAside: older.setAside + newer.setAside,
    first: older.first,
    last: newer.last,
  };
}

/** Judges the level; null while too little is known of it. `airy`: there are signs of air, which leaves slowly. */
export function judge(
  state: SteadinessState,
  nowUs: number,
  demand: SteadyDemand,
  window: { readonly lowC: number; readonly highC: number },
  airy = false,
): Calm | null {
  const blocks = newestFirst(state.series);
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
  const wave = waves(state, blocks, nowS, single, step, toleranceMm);
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
  const boundMm = Math.abs(rest.mean) + sigmas * rest.u;
  watchClaim(state, nowUs, boundMm, rest.mean, now.mean, toleranceMm);
  state.resting = boundMm <= RESTING * toleranceMm;
  if (!state.resting) state.onset = emptyOnset();
  state.quiet = swingMm < QUIET * toleranceMm && Math.abs(rest.mean) + rest.u < QUIET * toleranceMm;
  foretell(state, fitted.fits, nowS, now.u, Math.sqrt(perSample + wave.excess * Math.max(1, 0.5 / stepS)));
  const taken = bestWindow(blocks, variances, fitted, window);
  return {
    spanUs: nowUs - taken.whole.first.tUs,
    used: taken.whole.n,
    setAside: taken.whole.setAside,
    driftMmPerMin: drift.mean,
    uDriftMmPerMin: drift.u,
    meanMm: state.originMm + taken.whole.y,
    meanRawMm: taken.whole.rawMm,
    meanTemperatureC: taken.whole.temperatureC,
    noiseMm: Math.sqrt(Math.max(single, wave.variance)),
    effective: Math.max(single, wave.variance) / taken.variance,
    first: taken.whole.first,
    last: taken.whole.last,
    levelMm: state.originMm + now.mean,
    restMm: rest.mean,
    uRestMm: rest.u,
    boundMm,
    meanAboveRestMm: taken.above.mean,
    uMeanAboveRestMm: taken.above.u,
    swingMm,
    wildShare: state.screening.wildShare,
    changedUs: state.changedUs,
    settled: timeToSettle(fitted, blocks, rest.u, sigmas, toleranceMm),
  };
}

/** Holds the level to what was said of it. */
function watchClaim(
  state: SteadinessState,
  nowUs: number,
  boundMm: number,
  restMm: number,
  now: number,
  toleranceMm: number,
): void {
  if (boundMm > RESTING * toleranceMm) state.claim = null;
  else if (state.claim === null && boundMm <= toleranceMm)
    state.claim = { c: now - restMm, withinMm: Math.max(LEAVES * toleranceMm, 1.1 * Math.abs(restMm)) };
  if (state.claim !== null && Math.abs(now - state.claim.c) > state.claim.withinMm) {
    state.creptUs = nowUs;
    state.claim = null;
  }
}

interface Wave {
  /** Variance of the last seconds about their line, and what of it is above the noise that never dies. */
  readonly variance: number;
  readonly excess: number;
  /** Variance that waves give to the mean of each block. */
  readonly ofMeans: readonly number[];
}

function waves(
  state: SteadinessState,
  blocks: readonly LevelBlock[],
  nowS: number,
  single: number,
  step: number,
  toleranceMm: number,
): Wave {
  const { noise } = state;
  const nowInRunS = nowS + state.originUs / US_PER_S;
  let recent: Moments | null = null;
  for (const block of blocks) {
    recent = recent === null ? block : join(block, recent);
    if (recent.n >= SWING.samples && nowS - recent.fromT >= SWING.overS) break;
  }
  const variance = recent === null ? 0 : aboutLine(recent);
  if (recent !== null && recent.n >= SWING.samples) watchFloor(noise, nowInRunS, variance);
  // Ten samples a second and more: a wave of two seconds to half a second hardly moves neighbours apart.
  const told = noise.stepS <= 0.1 ? single : 0;
  // A wave as high as the tolerance is never taken for noise, however long it lasts.
  const floor = Math.max(Math.min(noiseFloor(noise, nowInRunS), toleranceMm * toleranceMm), told, step);
  const ofMeans: number[] = [];
  let group: Moments | null = null;
  for (const [i, block] of blocks.entries()) {
    group = group === null ? block : join(block, group);
    if (i < blocks.length - 1 && (group.n < SWING.samples || group.toT - group.fromT < PIECE_S)) continue;
    const above = group.n < SWING.samples ? Math.max(0, variance - floor) : Math.max(0, aboutLine(group) - floor);
    while (ofMeans.length <= i) ofMeans.push(above * ofMean(blocks[ofMeans.length] as LevelBlock));
    group = null;
  }
  return { variance, excess: Math.max(0, variance - floor), ofMeans };
}

function aboutLine(moments: Moments): number {
  const residual = slopeOf(moments)?.residual ?? 0;
  return residual * residual;
}

/** What share of a wave's variance its mean over a block keeps: all within a quarter of it, ever less over many. */
function ofMean({ n, fromT, toT }: LevelBlock): number {
  const s = toT - fromT;
  return Math.max(1 / (4 * n), Math.min(1, 0.25 / s, 0.1 / (s * s)));
}

interface Fitted {
  /** All windows that fit, shortest first. */
  readonly windows: readonly WindowFit[];
  /** The longest of them, weighed. */
  readonly count: number;
  readonly fits: readonly Weighted[];
}

function fitLevel(
  blocks: readonly LevelBlock[],
  variances: readonly number[],
  nowS: number,
  { settlingS, toleranceMm }: SteadyDemand,
  creeping: boolean,
): Fitted {
  const taus: number[] = [];
  for (let tauS = SHORTEST_TAU_S; tauS < settlingS * SLOWER; tauS *= TAU_RATIO) taus.push(tauS);
  const prior = PRIOR_TOLERANCES * toleranceMm;
  const windows: WindowFit[] = [];
  let misfits = 0;
  fitWindows(blocks, variances, taus, nowS, prior * prior, (window) => {
    const freedom = window.count - 2;
    if (freedom > 1 && window.leastChi2 - freedom > MISFIT * Math.sqrt(2 * freedom)) misfits++;
    else {
      misfits = 0;
      windows.push(window);
    }
    return misfits === 2 ? null : Math.max(window.count + 1, Math.floor(window.count * WINDOW_RATIO));
  });
  const longest = windows.at(-1) as WindowFit;
  const inflation = Math.max(1, longest.leastChi2 / Math.max(1, longest.count - 2));
  const slower = (tauS: number) => {
    const share = Math.min(1, settlingS / tauS);
    return creeping ? Math.sqrt(share) : share * share;
  };
  const weighed = weigh(longest.fits, inflation, slower);
  const fits = weighed.map((one, i) => {
    // The true τ lies somewhere between two of the list: rectangular over what that means (GUM 4.3.7).
    const [before, after] = [weighed[i - 1] ?? one, weighed[i + 1] ?? one];
    const between = ((after.a - before.a) / 2) * ((after.a - before.a) / 2) * (1 / 12);
    return {
      ...one,
      varA: one.varA * inflation + between,
      varC: one.varC * inflation + between,
      covAC: one.covAC * inflation - between,
    };
  });
  return { windows, count: longest.count, fits };
}

function foretell(state: SteadinessState, fits: readonly Weighted[], tS: number, u: number, sampleU: number): void {
  const best = fits.reduce((a, b) => (b.weight > a.weight ? b : a));
  state.expected = { tS, c: best.c, a: best.a, tauS: best.tauS, u, sampleU };
}

interface Taken {
  readonly whole: LevelBlock;
  /** Variance of its mean by noise. */
  readonly variance: number;
  readonly above: Belief;
}

/** The window whose mean says best where the level comes to rest: noise against what had still to settle. */
function bestWindow(
  blocks: readonly LevelBlock[],
  variances: readonly number[],
  { windows, fits }: Fitted,
  { lowC, highC }: { readonly lowC: number; readonly highC: number },
): Taken {
  let n = 0;
  let sum = 0;
  let done = 0;
  let best = { count: 1, variance: 0, above: { mean: 0, u: 0 } };
  let bestSquare = Number.POSITIVE_INFINITY;
  for (const { count, exponentials } of windows) {
    let inside = true;
    for (; done < count && inside; done++) {
      const block = blocks[done] as LevelBlock;
      inside = done === 0 || (block.lowC >= lowC && block.highC <= highC);
      n += block.n;
      sum += block.n * block.n * (variances[done] as number);
    }
    if (!inside) break;
    const above = believe(fits, ({ a, varA }, i) => {
      const g = exponentials[i] as number;
      return [a * g, varA * g * g];
    });
    const variance = sum / (n * n);
    const square = variance + above.mean * above.mean + above.u * above.u;
    if (square < bestSquare) {
      bestSquare = square;
      best = { count, variance, above };
    }
  }
  const whole = joined(blocks, best.count, joinLevels) as LevelBlock;
  return { whole, variance: best.variance, above: best.above };
}

const FARTHEST_S = 300;

function timeToSettle(
  { count, fits }: Fitted,
  blocks: readonly LevelBlock[],
  u: number,
  sigmas: number,
  toleranceMm: number,
): Calm['settled'] {
  const oldest = blocks[Math.min(count, blocks.length) - 1] as LevelBlock;
  const spanS = Math.max(0.5, (blocks[0] as LevelBlock).toT - oldest.fromT);
  const when = (slack: number): number | null => {
    for (let s = 0; s <= FARTHEST_S; s = s < 10 ? s + 0.5 : s * 1.1) {
      const grown = spanS / (spanS + s);
      const doubt = u * grown * Math.sqrt(grown);
      const rest = fits.reduce((sum, { a, tauS, weight }) => sum + weight * a * Math.exp(-s / tauS), 0);
      if (Math.abs(rest) * slack + sigmas * doubt <= toleranceMm) return s;
    }
    return null;
  };
  const s = when(1);
  return s === null ? null : { s, lowS: when(0.5) ?? s, highS: when(1.6) };
}
