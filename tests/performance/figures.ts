/** How speed is told. */

/** Lines per second, or as fast as the port takes them. */
export type Pace = number | 'full';

export function median(values: readonly number[]): number {
  const sorted = [...values].sort((a, b) => a - b);
  return sorted[sorted.length >> 1] as number;
}

/** Two cells of a table: the median, and smallest to largest. */
export function range(ratios: readonly number[]): string {
  return `${median(ratios).toFixed(2)} | ${Math.min(...ratios).toFixed(2)} to ${Math.max(...ratios).toFixed(2)}`;
}
