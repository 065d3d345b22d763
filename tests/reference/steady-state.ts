/** Published and recomputed figures about recognising a steady state. */

/**
 * Lower critical values of the von Neumann ratio (mean squared successive difference with n − 1, variance with n) for
 * independent normal samples: Hart, Significance levels for the ratio of the mean square successive difference to the
 * variance, Annals of Mathematical Statistics 13 (1942) 445–447; recomputed by exact inversion. The published 1.1228 for
 * n = 8 at 5 % is a slip: two independent integrations give 1.1219.
 */
export const VON_NEUMANN_LOWER: readonly (readonly [n: number, at01: number, at1: number, at5: number])[] = [
  // n, P = 0.001, 0.01, 0.05
  [4, 0.7864, 0.8341, 1.0406],
  [5, 0.5201, 0.6724, 1.0254],
  [6, 0.4357, 0.6736, 1.0683],
  [7, 0.4307, 0.7163, 1.0919],
  [8, 0.4583, 0.7597, 1.1219],
  [9, 0.4965, 0.7976, 1.1526],
  [10, 0.5349, 0.8353, 1.1802],
  [12, 0.6061, 0.9033, 1.2301],
  [15, 0.7006, 0.9881, 1.2914],
  [20, 0.826, 1.0954, 1.368],
  [25, 0.9222, 1.1747, 1.424],
  [30, 0.9983, 1.2362, 1.4672],
  [40, 1.1122, 1.3266, 1.5304],
  [50, 1.1943, 1.3907, 1.575],
  [60, 1.2571, 1.4392, 1.6087],
  [100, 1.4121, 1.5577, 1.691],
];

/**
 * Quantiles of the R-statistic (Cao and Rhinehart, J. Process Control 5 (1995) 363–374) at steady state with independent
 * normal noise and filter factors 0.2, 0.1, 0.1: Monte Carlo over 1.6 million values, standard error below 0.001.
 */
export const R_QUANTILES: readonly (readonly [p: number, r: number])[] = [
  [0.05, 0.7702],
  [0.5, 0.9998],
  [0.95, 1.4386],
  [0.99, 1.7287],
];

/** Effective number of n AR(1) samples with correlation ρ: Bayley and Hammersley, Suppl. J. R. Stat. Soc. 8 (1946) 184–197. */
export const EFFECTIVE_AR1: readonly (readonly [n: number, rho: number, exact: number])[] = [
  [100, 0, 100],
  [100, 0.5, 33.783784],
  [100, 0.9, 5.813937],
  [60, 0.8, 7.199999],
];
