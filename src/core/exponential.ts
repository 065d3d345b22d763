/**
 * A constant and a dying exponential, y = c + a e^(−(t − now)/τ), fitted to blocks by weighted least squares for every τ
 * of a list; the fits are weighed by their likelihood e^(−χ²/2). `a` is what is still to go, `c` where it will end.
 */
import type { Moments } from './moments.ts';

export interface OneFit {
  readonly tauS: number;
  readonly a: number;
  readonly c: number;
  readonly varA: number;
  readonly varC: number;
  readonly covAC: number;
  readonly chi2: number;
}

export interface Weighted extends OneFit {
  /** The share of belief in this τ; all together 1. */
  readonly weight: number;
}

/** All fits of one window. */
export interface WindowFit {
  /** How many blocks, newest first. */
  readonly count: number;
  readonly fits: readonly OneFit[];
  /** For each τ: the mean of the exponential over the samples of the window. */
  readonly exponentials: readonly number[];
  readonly leastChi2: number;
}

/** The average of e^(−(t − now)/τ) over a block whose samples are spread evenly. */
function exponentialOver({ t, tt, n }: Moments, nowS: number, tauS: number): number {
  const at = Math.exp((nowS - t) / tauS);
  if (n === 1) return at;
  // Half the length of an even block is √3 times the standard deviation of its times.
  const h = Math.sqrt((3 * tt) / n) / tauS;
  if (h < 1e-3) return at;
  const e = Math.exp(h);
  return (at * (e - 1 / e)) / (2 * h);
}

/**
 * Fits windows of growing length in one pass over the blocks (newest first). `variances` are those of the block means;
 * `priorVarA` is the variance of what may still be to go before anything is seen. After each window, `go` says whether
 * to look at a longer one and how many blocks that is to have.
 */
export function fitWindows(
  blocks: readonly Moments[],
  variances: readonly number[],
  taus: readonly number[],
  nowS: number,
  priorVarA: number,
  go: (window: WindowFit) => number | null,
): void {
  const k = taus.length;
  const g = new Array<number>(k).fill(0);
  const gg = new Array<number>(k).fill(0);
  const gy = new Array<number>(k).fill(0);
  const plain = new Array<number>(k).fill(0);
  let n = 0;
  let w = 0;
  let y = 0;
  let yy = 0;
  let next: number | null = 1;
  for (let i = 0; i < blocks.length && next !== null; i++) {
    const block = blocks[i] as Moments;
    const weight = 1 / (variances[i] as number);
    w += weight;
    n += block.n;
    const share = weight / w;
    const dy = block.y - y;
    y += dy * share;
    yy += weight * dy * (block.y - y);
    for (let j = 0; j < k; j++) {
      const x = exponentialOver(block, nowS, taus[j] as number);
      const dx = x - (g[j] as number);
      const mean = (g[j] as number) + dx * share;
      g[j] = mean;
      gg[j] = (gg[j] as number) + weight * dx * (x - mean);
      gy[j] = (gy[j] as number) + weight * dx * (block.y - y);
      plain[j] = (plain[j] as number) + ((x - (plain[j] as number)) * block.n) / n;
    }
    if (i + 1 < next && i + 1 < blocks.length) continue;
    const fits = taus.map((tauS, j) =>
      solve(tauS, w, y, yy, g[j] as number, gg[j] as number, gy[j] as number, priorVarA),
    );
    let leastChi2 = Number.POSITIVE_INFINITY;
    for (const { chi2 } of fits) leastChi2 = Math.min(leastChi2, chi2);
    next = go({ count: i + 1, fits, exponentials: [...plain], leastChi2 });
  }
}

function solve(
  tauS: number,
  w: number,
  y: number,
  yy: number,
  g: number,
  gg: number,
  gy: number,
  priorVarA: number,
): OneFit {
  const precision = gg + 1 / priorVarA;
  const a = gy / precision;
  const varA = 1 / precision;
  return {
    tauS,
    a,
    c: y - a * g,
    varA,
    varC: 1 / w + g * g * varA,
    covAC: -g * varA,
    chi2: Math.max(0, yy - 2 * a * gy + a * a * gg),
  };
}

/** Weighs fits of the same data by likelihood, with the given belief in each beforehand. */
export function weigh(
  fits: readonly OneFit[],
  inflation: number,
  before: (tauS: number) => number = () => 1,
): Weighted[] {
  const best = Math.min(...fits.map(({ chi2 }) => chi2));
  const raw = fits.map(({ tauS, chi2 }) => before(tauS) * Math.exp((best - chi2) / (2 * inflation)));
  const sum = raw.reduce((total, one) => total + one, 0);
  return fits.map((fit, i) => ({ ...fit, weight: (raw[i] as number) / sum }));
}

export interface Belief {
  readonly mean: number;
  readonly u: number;
}

/** Mean and standard deviation of a quantity over all fits. */
export function believe(
  fits: readonly Weighted[],
  pick: (fit: Weighted, index: number) => readonly [value: number, v: number],
): Belief {
  let mean = 0;
  let square = 0;
  const picked = fits.map(pick);
  for (const [i, [value]] of picked.entries()) mean += (fits[i] as Weighted).weight * value;
  for (const [i, [value, own]] of picked.entries())
    square += (fits[i] as Weighted).weight * (own + (value - mean) * (value - mean));
  return { mean, u: Math.sqrt(square) };
}
