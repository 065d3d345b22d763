/** Tail of Fisher's F, by the incomplete beta function (NIST Digital Library of Mathematical Functions, 8.17). */

/** Probability that F with these degrees of freedom is larger than `f`. */
export function exceedsF(f: number, above: number, below: number): number {
  if (!(f > 0)) return 1;
  return incompleteBeta(below / (below + above * f), below / 2, above / 2);
}

/** Regularised incomplete beta function I_x(a, b), 0 ≤ x ≤ 1, a and b above 0. */
export function incompleteBeta(x: number, a: number, b: number): number {
  if (x <= 0) return 0;
  if (x >= 1) return 1;
  // The continued fraction converges fast on this side of the mean; the other side is its complement (8.17.4).
  if (x > (a + 1) / (a + b + 2)) return 1 - incompleteBeta(1 - x, b, a);
  const front = Math.exp(a * Math.log(x) + b * Math.log(1 - x) + logGamma(a + b) - logGamma(a) - logGamma(b)) / a;
  return front * continuedFraction(x, a, b);
}

const SMALLEST = 1e-300;
const STEPS = 500;

/** DLMF 8.17.22, evaluated by the method of Lentz (Applied Optics 15, 1976). */
function continuedFraction(x: number, a: number, b: number): number {
  let c = 1;
  let d = 1 / away(1 - ((a + b) * x) / (a + 1));
  let value = d;
  for (let m = 1; m <= STEPS; m++) {
    const before = value;
    for (const term of [
      (m * (b - m) * x) / ((a + 2 * m - 1) * (a + 2 * m)),
      (-(a + m) * (a + b + m) * x) / ((a + 2 * m) * (a + 2 * m + 1)),
    ]) {
      d = 1 / away(1 + term * d);
      c = away(1 + term / c);
      value *= c * d;
    }
    if (Math.abs(value - before) <= 1e-16 * Math.abs(value)) break;
  }
  return value;
}

function away(x: number): number {
  return Math.abs(x) < SMALLEST ? SMALLEST : x;
}

/** Natural logarithm of the gamma function, x above 0: Stirling's series (DLMF 5.11.1) from 12 up, recurrence below. */
export function logGamma(x: number): number {
  let shift = 0;
  let large = x;
  for (; large < 12; large++) shift += Math.log(large);
  const inverse = 1 / large;
  const square = inverse * inverse;
  const series =
    inverse *
    (1 / 12 -
      square * (1 / 360 - square * (1 / 1260 - square * (1 / 1680 - square * (1 / 1188 - square * (691 / 360360))))));
  return (large - 0.5) * Math.log(large) - large + 0.5 * Math.log(2 * Math.PI) + series - shift;
}
