/** Statistics of one window of samples. Inputs are arrays of equal length; nothing is modified. */

export function median(values: readonly number[]): number {
  const sorted = [...values].sort((a, b) => a - b);
  const half = sorted.length >> 1;
  const upper = sorted[half] as number;
  return sorted.length % 2 === 1 ? upper : ((sorted[half - 1] as number) + upper) / 2;
}

/**
 * Standard deviation of normal noise, estimated so that a few wild values do not move it: the median absolute deviation
 * over Φ⁻¹(3/4), or, where more than half the values are the same, the mean absolute deviation times √(π/2)
 * (Iglewicz and Hoaglin, How to Detect and Handle Outliers, 1993).
 */
export function robustDeviation(values: readonly number[]): number {
  const centre = median(values);
  const deviations = values.map((value) => Math.abs(value - centre));
  const middle = median(deviations);
  if (middle > 0) return 1.4826 * middle;
  return 1.2533 * (deviations.reduce((sum, deviation) => sum + deviation, 0) / deviations.length);
}

export interface Line {
  readonly mean: number;
  /** Per unit of t. */
  readonly slope: number;
  /** Standard error of the slope. */
  readonly uSlope: number;
  /** Standard deviation of the residuals about the line, n − 2 degrees of freedom. */
  readonly residual: number;
  /** Correlation of neighbouring residuals. */
  readonly lag1: number;
}

/**
 * Straight line by least squares, centred sums. Null where it is not determined: fewer than three points or no spread
 * in t.
 */
export function fitLine(t: readonly number[], y: readonly number[]): Line | null {
  const n = t.length;
  if (n < 3) return null;
  let tMean = 0;
  let yMean = 0;
  for (let i = 0; i < n; i++) {
    tMean += ((t[i] as number) - tMean) / (i + 1);
    yMean += ((y[i] as number) - yMean) / (i + 1);
  }
  let tt = 0;
  let ty = 0;
  for (let i = 0; i < n; i++) {
    const dt = (t[i] as number) - tMean;
    tt += dt * dt;
    ty += dt * ((y[i] as number) - yMean);
  }
  if (!(tt > 0)) return null;
  const slope = ty / tt;
  let squares = 0;
  let neighbours = 0;
  let before = 0;
  for (let i = 0; i < n; i++) {
    const residual = (y[i] as number) - yMean - slope * ((t[i] as number) - tMean);
    squares += residual * residual;
    if (i > 0) neighbours += residual * before;
    before = residual;
  }
  const residual = Math.sqrt(squares / (n - 2));
  return {
    mean: yMean,
    slope,
    uSlope: residual / Math.sqrt(tt),
    residual,
    lag1: squares > 0 ? neighbours / squares : 0,
  };
}

/**
 * How many independent samples `n` correlated ones are worth, for noise of first-order autoregressive kind:
 * n (1 − r) / (1 + r). Negative correlation is not credited.
 */
export function effectiveCount(n: number, lag1: number): number {
  const r = Math.min(Math.max(lag1, 0), 0.99);
  return Math.max(1, (n * (1 - r)) / (1 + r));
}
