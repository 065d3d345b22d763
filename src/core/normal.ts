/**
 * Quantile of the standard normal distribution for 0.5 ≤ p < 1: Abramowitz and Stegun, Handbook of Mathematical
 * Functions (1964), 26.2.23, absolute error below 4.5 · 10⁻⁴.
 */
export function normalQuantile(p: number): number {
  const t = Math.sqrt(-2 * Math.log(1 - p));
  const over = 2.515517 + t * (0.802853 + t * 0.010328);
  const under = 1 + t * (1.432788 + t * (0.189269 + t * 0.001308));
  return Math.max(0, t - over / under);
}
