/**
 * When will the fluid be at a temperature? Its probe approaches an end that nobody told it: c + a e^(−t/τ), fitted to the
 * longest recent time that one such approach explains (a change of load begins a new one), for every plausible τ. What is
 * believed of τ and a together gives the time with its 90 % interval.
 */
import type { TimeToGo } from './events.ts';
import { fitWindows, type Weighted, type WindowFit, weigh } from './exponential.ts';
import type { FluidTemperatureState } from './fluid-temperature.ts';
import type { Moments } from './moments.ts';
import { sampleVariance } from './noise.ts';
import { newestFirst } from './series.ts';

/** The approach as it stands; plain data. */
export interface Approach {
  readonly tUs: number;
  /** Standard uncertainty with which the window gate will know the temperature. */
  readonly uK: number;
  /** Fluid, not probe: °C at the end, and what is still to go. */
  readonly ways: readonly {
    readonly endC: number;
    readonly aK: number;
    readonly uAK: number;
    readonly tauS: number;
    readonly weight: number;
  }[];
}

const TAUS_S: readonly number[] = geometric(20, 3000, 1.15);
/** The longest window is looked for with every third of them. */
const COARSE_S = TAUS_S.filter((_, i) => i % 3 === 0);
const WINDOW_RATIO = 1.15;
const MISFIT = 3;
const PRIOR_K = 60;
const FEWEST_BLOCKS = 8;
/** After a change the probe follows for so many of its lags in a way of its own. */
const TRANSIENT_LAGS = 2.5;

function geometric(from: number, to: number, ratio: number): number[] {
  const values: number[] = [];
  for (let value = from; value <= to; value *= ratio) values.push(value);
  return values;
}

/** Fits the approach; null while too little is known. */
export function approachOf(state: FluidTemperatureState): Approach | null {
  const blocks = newestFirst(state.series);
  const newest = blocks[0];
  const single = sampleVariance(state.noise);
  if (newest === undefined || single === null || blocks.length < FEWEST_BLOCKS || state.now === null) return null;
  const { stepK, lagS } = state;
  const step = (stepK * stepK) / 12;
  const variances = blocks.map(({ n }) => (single + step) / n + step / 16);
  let taken: WindowFit | null = null;
  let misfits = 0;
  fitWindows(blocks, variances, COARSE_S, newest.toT, PRIOR_K * PRIOR_K, (window) => {
    const freedom = Math.max(1, window.count - 3);
    if (taken !== null && window.leastChi2 - freedom > MISFIT * Math.sqrt(2 * freedom)) misfits++;
    else {
      misfits = 0;
      if (window.count >= FEWEST_BLOCKS) taken = window;
    }
    const next = Math.max(window.count + 1, Math.floor(window.count * WINDOW_RATIO));
    return misfits === 3 ? null : Math.max(next, FEWEST_BLOCKS);
  });
  if (taken === null) return null;
  const begins = (blocks[(taken as WindowFit).count - 1] as Moments).fromT + TRANSIENT_LAGS * lagS;
  const after = blocks.filter(({ fromT }) => fromT >= begins).length;
  if (after < FEWEST_BLOCKS) return null;
  taken = null;
  fitWindows(blocks, variances, TAUS_S, newest.toT, PRIOR_K * PRIOR_K, (window) => {
    taken = window;
    return window.count < after ? after : null;
  });
  if (taken === null) return null;
  const { fits, count, leastChi2 } = taken as WindowFit;
  const inflation = CORRELATED * Math.max(1, leastChi2 / Math.max(1, count - 3));
  const ways = weigh(fits, inflation).map(({ tauS, a, c, varA, weight }: Weighted) => {
    // The probe is behind the fluid by lag · slope.
    const ahead = 1 - lagS / tauS;
    return { endC: state.originC + c, aK: a * ahead, uAK: Math.sqrt(varA * inflation) * Math.abs(ahead), tauS, weight };
  });
  return { tUs: state.now.tUs, uK: state.now.u, ways };
}

/** Steps and waver of a probe are no independent noise: its values are worth half of what they seem. */
const CORRELATED = 2;
/** No bench approaches its end quite exponentially: standard deviation of the time, as a share of it. */
const UNLIKE = 0.05;
/** Three points that stand for a normal distribution, each with a third of it. */
const THIRDS: readonly number[] = [-1.22, 0, 1.22];

/** Five points that stand for a normal distribution, with their shares. */
const POINTS: readonly (readonly [deviations: number, share: number])[] = [
  [-1.8, 0.1],
  [-0.8, 0.23],
  [0, 0.34],
  [0.8, 0.23],
  [1.8, 0.1],
];

/** Time from `nowUs` until the fluid is at `targetC`; `never` where it moves away or stops short; null where not known. */
export function timeTo(approach: Approach | null, targetC: number, nowUs: number): TimeToGo | 'never' | null {
  if (approach === null) return null;
  const times: { s: number; share: number }[] = [];
  let still = 0;
  for (const { endC, aK, uAK, tauS, weight } of approach.ways) {
    // A slope that cannot be told from none forecasts nothing.
    if (Math.abs(aK) < 3 * uAK) still += weight;
    const nowC = endC + aK;
    for (const [deviations, share] of POINTS) {
      const a = aK + deviations * uAK;
      const left = targetC - (nowC - a);
      const ratio = a / left;
      const s = ratio >= 1 ? tauS * Math.log(ratio) : Number.POSITIVE_INFINITY;
      const jitterS = (approach.uK * tauS) / Math.abs(left);
      const spreadS = s < Number.POSITIVE_INFINITY ? Math.sqrt(jitterS * jitterS + UNLIKE * UNLIKE * s * s) : 0;
      for (const third of THIRDS) times.push({ s: s + third * spreadS, share: (share * weight) / 3 });
    }
  }
  times.sort((a, b) => a.s - b.s);
  const passedS = (nowUs - approach.tUs) / 1e6;
  const at = (p: number): number => {
    let sum = 0;
    for (const { s, share } of times) {
      sum += share;
      if (sum >= p) return s - passedS;
    }
    return Number.POSITIVE_INFINITY;
  };
  const s = at(0.5);
  if (!Number.isFinite(s)) return still > 0.5 ? null : 'never';
  if (still > 0.9) return null;
  const highS = at(0.95);
  return { s: Math.max(0, s), lowS: Math.max(0, at(0.05)), highS: Number.isFinite(highS) ? Math.max(0, highS) : null };
}
