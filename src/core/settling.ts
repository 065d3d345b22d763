/** A plateau with a remainder that is dying: windows of many lengths and time constants are fitted at once. */
import type { TimeToGo } from './events.ts';
import { type Belief, believe, fitWindows, type Weighted, type WindowFit, weigh } from './exponential.ts';
import { joinLevels, type LevelBlock } from './level-blocks.ts';
import { chiSquareDeviations } from './normal.ts';
import { joined } from './series.ts';

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

/** Steps of the time constants tried, and how they begin. */
const SHORTEST_TAU_S = 3;
const TAU_RATIO = 1.3;
/** Slower than the longest plausible time constant is thought of too, with less and less belief: it looks like a ramp. */
const SLOWER = 6;
/** Windows tried, in blocks: each longer than the last by this factor. */
const WINDOW_RATIO = 1.25;
/** A window fits while χ² is no less likely than so many standard deviations of a normal distribution. */
const MISFIT = 3.3;
/** What may be still to go before anything is seen, in tolerances. */
const PRIOR_TOLERANCES = 4;

export interface Fitted {
  /** All windows that fit, shortest first. */
  readonly windows: readonly WindowFit[];
  /** The longest of them, weighed. */
  readonly count: number;
  readonly fits: readonly Weighted[];
}

export function fitLevel(
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
    if (freedom > 1 && chiSquareDeviations(window.leastChi2, freedom) > MISFIT) misfits++;
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
    return creeping ? Math.sqrt(share) : share * share * share;
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

export interface Taken {
  readonly whole: LevelBlock;
  /** Variance of its mean by noise. */
  readonly variance: number;
  readonly above: Belief;
}

/** The window whose mean says best where the level comes to rest: noise against what had still to settle. */
export function bestWindow(
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

export function timeToSettle(
  { count, fits }: Fitted,
  blocks: readonly LevelBlock[],
  u: number,
  sigmas: number,
  toleranceMm: number,
): TimeToGo | null {
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
