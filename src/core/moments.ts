/**
 * Centred moments of a run of samples (t, y), and how two neighbouring runs join: no sum of squares of large numbers is
 * ever formed and nothing is ever subtracted out again, so no digits are lost however long the stream.
 * Chan, Golub and LeVeque, Algorithms for computing the sample variance, The American Statistician 37 (1983) 242–247.
 */

export interface Moments {
  readonly n: number;
  /** Means. */
  readonly t: number;
  readonly y: number;
  /** Sums of products of deviations from the means. */
  readonly tt: number;
  readonly ty: number;
  readonly yy: number;
  /** Sum over neighbours of (y_i − mean)(y_{i+1} − mean). */
  readonly lag: number;
  readonly firstY: number;
  readonly lastY: number;
  readonly fromT: number;
  readonly toT: number;
}

export function momentsOf(t: number, y: number): Moments {
  return { n: 1, t, y, tt: 0, ty: 0, yy: 0, lag: 0, firstY: y, lastY: y, fromT: t, toT: t };
}

/** `older` ends where `newer` begins. */
export function join(older: Moments, newer: Moments): Moments {
  const n = older.n + newer.n;
  const share = newer.n / n;
  const dt = newer.t - older.t;
  const dy = newer.y - older.y;
  const both = older.n * share;
  const y = older.y + dy * share;
  return {
    n,
    t: older.t + dt * share,
    y,
    tt: older.tt + newer.tt + dt * dt * both,
    ty: older.ty + newer.ty + dt * dy * both,
    yy: older.yy + newer.yy + dy * dy * both,
    lag: lagAbout(older, y) + (older.lastY - y) * (newer.firstY - y) + lagAbout(newer, y),
    firstY: older.firstY,
    lastY: newer.lastY,
    fromT: older.fromT,
    toT: newer.toT,
  };
}

/** The neighbour products of a run about another mean; the deviations from its own sum to nought. */
function lagAbout({ n, y, lag, firstY, lastY }: Moments, mean: number): number {
  const shift = y - mean;
  return lag - shift * (firstY - y + (lastY - y)) + (n - 1) * shift * shift;
}

/** n − 1 in the denominator. */
export function variance({ n, yy }: Moments): number {
  return n > 1 ? yy / (n - 1) : 0;
}

/** Lag-1 autocorrelation coefficient about the mean. */
export function lag1(moments: Moments): number {
  return moments.yy > 0 ? moments.lag / moments.yy : 0;
}

/**
 * Mean squared difference of neighbours over the variance (von Neumann, Annals of Mathematical Statistics 12 (1941)
 * 367–395, both with n − 1 and n in their denominators): 2 for independent samples, less for a drift.
 */
export function vonNeumannRatio(moments: Moments): number {
  const { n, y, yy, lag, firstY, lastY } = moments;
  const first = firstY - y;
  const last = lastY - y;
  const differences = 2 * yy - first * first - last * last - 2 * lag;
  return yy > 0 ? differences / (n - 1) / (yy / n) : 2;
}

/** Slope of the line by least squares and its standard error for independent samples; null where t does not spread. */
export function slopeOf({ n, tt, ty, yy }: Moments): { slope: number; u: number; residual: number } | null {
  if (n < 3 || !(tt > 0)) return null;
  const slope = ty / tt;
  const residual = Math.sqrt(Math.max(0, yy - slope * ty) / (n - 2));
  return { slope, u: residual / Math.sqrt(tt), residual };
}
