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

/** The average of e^(−(t − now)/τ) over a block whose samples are spread evenly. */
export function regressor({ t, tt, n }: Moments, nowS: number, tauS: number): number {
  // Half the length of an even block is √3 times the standard deviation of its times.
  const h = Math.sqrt((3 * tt) / n) / tauS;
  const spread = h < 1e-3 ? 1 : (Math.exp(h) - Math.exp(-h)) / (2 * h);
  return Math.exp((nowS - t) / tauS) * spread;
}

/**
 * Fits the newest `count` blocks; `variances` are those of the block means, `regressors` the exponential in each of them.
 * `priorVarA` is the variance of what may
 * still be to go before anything is seen (Infinity: nothing is known).
 */
export function fitExponential(
  blocks: readonly Moments[],
  variances: readonly number[],
  regressors: readonly number[],
  count: number,
  tauS: number,
  priorVarA: number,
): OneFit {
  let w = 0;
  let y = 0;
  let g = 0;
  let gg = 0;
  let gy = 0;
  let yy = 0;
  for (let i = 0; i < count; i++) {
    const block = blocks[i] as Moments;
    const weight = 1 / (variances[i] as number);
    const x = regressors[i] as number;
    w += weight;
    const share = weight / w;
    const dx = x - g;
    const dy = block.y - y;
    g += dx * share;
    y += dy * share;
    gg += weight * dx * (x - g);
    gy += weight * dx * (block.y - y);
    yy += weight * dy * (block.y - y);
  }
  const precision = gg + 1 / priorVarA;
  const a = precision > 0 ? gy / precision : 0;
  const varA = precision > 0 ? 1 / precision : Number.POSITIVE_INFINITY;
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
export function weigh(fits: readonly OneFit[], inflation = 1): Weighted[] {
  const best = Math.min(...fits.map(({ chi2 }) => chi2));
  const raw = fits.map(({ chi2 }) => Math.exp((best - chi2) / (2 * inflation)));
  const sum = raw.reduce((total, one) => total + one, 0);
  return fits.map((fit, i) => ({ ...fit, weight: (raw[i] as number) / sum }));
}

export interface Belief {
  readonly mean: number;
  readonly u: number;
}

/** Mean and standard deviation of a quantity over all fits. */
export function believe(fits: readonly Weighted[], pick: (fit: Weighted, index: number) => readonly [value: number, v: number]): Belief {
  let mean = 0;
  let square = 0;
  const picked = fits.map(pick);
  for (const [i, [value]] of picked.entries()) mean += (fits[i] as Weighted).weight * value;
  for (const [i, [value, own]] of picked.entries())
    square += (fits[i] as Weighted).weight * (own + (value - mean) * (value - mean));
  return { mean, u: Math.sqrt(square) };
}
