/** A function value with its slope at one point. */
export interface Tangent {
  readonly value: number;
  readonly derivative: number;
}

const MOST_STEPS = 200;
const EPSILON = 2.220446049250313e-16;

/**
 * The zero of a monotone function between `low` and `high`: Newton's method, with bisection wherever Newton would leave
 * the bracket. Works for rising and falling functions and stops when a step no longer moves the last bits. Without a
 * change of sign the end that lies nearer to zero is returned.
 */
export function findRoot(f: (x: number) => Tangent, low: number, high: number): number {
  const atLow = f(low).value;
  const atHigh = f(high).value;
  if (atLow === 0) return low;
  if (atHigh === 0) return high;
  if (atLow > 0 === atHigh > 0) return Math.abs(atLow) <= Math.abs(atHigh) ? low : high;
  let below = atLow < 0 ? low : high;
  let above = atLow < 0 ? high : low;
  let x = low + ((high - low) * atLow) / (atLow - atHigh);
  for (let step = 0; step < MOST_STEPS; step++) {
    const { value, derivative } = f(x);
    if (value === 0) return x;
    if (value < 0) below = x;
    else above = x;
    const newton = x - value / derivative;
    const inside = newton > Math.min(below, above) && newton < Math.max(below, above);
    const next = inside ? newton : below + (above - below) / 2;
    if (Math.abs(next - x) <= EPSILON * Math.abs(x)) return next;
    x = next;
  }
  return x;
}
