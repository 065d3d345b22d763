/**
 * Numbers of twice the digits: an unevaluated sum of two doubles, about 31 digits. Sum and product without error after
 * Dekker (Numerische Mathematik 18, 1971) and Knuth (The Art of Computer Programming, vol. 2, 4.2.2).
 */
export type Twofold = readonly [high: number, low: number];

export const ZERO: Twofold = [0, 0];
/** 2²⁷ + 1: cuts a double into two halves whose products are exact. */
const SPLITTER = 134217729;

export function twofold(x: number): Twofold {
  return [x, 0];
}

export function plus([a, b]: Twofold, [c, d]: Twofold): Twofold {
  const high = sum(a, c);
  const low = sum(b, d);
  const first = sumOrdered(high[0], high[1] + low[0]);
  return sumOrdered(first[0], first[1] + low[1]);
}

export function minus(x: Twofold, [c, d]: Twofold): Twofold {
  return plus(x, [-c, -d]);
}

export function times([a, b]: Twofold, [c, d]: Twofold): Twofold {
  const exact = product(a, c);
  return sumOrdered(exact[0], exact[1] + (a * d + b * c));
}

/** `y` is not 0. */
export function over(x: Twofold, y: Twofold): Twofold {
  const first = x[0] / y[0];
  const rest = minus(x, times(twofold(first), y));
  const second = rest[0] / y[0];
  const left = minus(rest, times(twofold(second), y));
  return plus(sumOrdered(first, second), twofold(left[0] / y[0]));
}

function sum(a: number, b: number): Twofold {
  const s = a + b;
  const fromB = s - a;
  return [s, a - (s - fromB) + (b - fromB)];
}

/** `a` is not smaller than `b` in size. */
function sumOrdered(a: number, b: number): Twofold {
  const s = a + b;
  return [s, b - (s - a)];
}

function product(a: number, b: number): Twofold {
  const p = a * b;
  const [aHigh, aLow] = halves(a);
  const [bHigh, bLow] = halves(b);
  return [p, aHigh * bHigh - p + aHigh * bLow + aLow * bHigh + aLow * bLow];
}

function halves(a: number): Twofold {
  const c = SPLITTER * a;
  const high = c - (c - a);
  return [high, a - high];
}
