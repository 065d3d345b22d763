/** Slope of `f` at `x` by differences on both sides, fourth order: the analytic derivatives are held against it. */
export function slopeOf(f: (x: number) => number, x: number, h: number): number {
  return (8 * (f(x + h) - f(x - h)) - (f(x + 2 * h) - f(x - 2 * h))) / (12 * h);
}
