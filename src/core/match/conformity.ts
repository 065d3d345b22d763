/** How probable it is that a quantity lies below, within and above its limits: JCGM 106:2012, clause 7. */
import { findRoot } from '../find-root.ts';
import { truncated } from '../uncertainty/combine.ts';
import { studentCdf } from '../uncertainty/student.ts';

export interface Conformity {
  readonly below: number;
  readonly within: number;
  readonly above: number;
}

/** An estimate with its standard uncertainty; what is known of the quantity is a scaled and shifted t (JCGM 101, 6.4.9). */
export interface Estimate {
  readonly value: number;
  readonly u: number;
  /** Effective; Infinity for a normal distribution. */
  readonly degreesOfFreedom: number;
}

/** Limits may be infinite; a value on a limit that is known exactly lies within. */
export function conformity({ value, u, degreesOfFreedom }: Estimate, low: number, high: number): Conformity {
  if (!(u > 0)) {
    const below = value < low ? 1 : 0;
    const above = value > high ? 1 : 0;
    return { below, within: 1 - below - above, above };
  }
  const whole = truncated(degreesOfFreedom);
  const below = studentCdf((low - value) / u, whole);
  const above = studentCdf((value - high) / u, whole);
  return { below, within: Math.max(0, 1 - below - above), above };
}

/**
 * Width of the guard band inside ±tolerance (JCGM 106, 8.3): a value that keeps this far away from the limits conforms with
 * `probability`. Null where not even the middle does.
 */
export function guardBand(
  spread: Pick<Estimate, 'u' | 'degreesOfFreedom'>,
  tolerance: number,
  probability: number,
): number | null {
  const within = (value: number): number => conformity({ ...spread, value }, -tolerance, tolerance).within;
  if (within(0) < probability) return null;
  if (!(spread.u > 0)) return 0;
  const step = 1e-6 * spread.u;
  const at = findRoot(
    (value) => ({
      value: within(value) - probability,
      derivative: (within(value + step) - within(value - step)) / (2 * step),
    }),
    0,
    tolerance + 40 * spread.u,
  );
  return tolerance - at;
}
