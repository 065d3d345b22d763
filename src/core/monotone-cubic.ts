/**
 * Piecewise cubic through given points that never overshoots: between two points it stays between their values, and
 * where the data rise it rises. Slopes by Fritsch and Butland (1984), SIAM J. Sci. Stat. Comput. 5, 300–304: weighted
 * harmonic mean inside, three-point formula at the ends. (The 1980 algorithm of Fritsch and Carlson gives other values.)
 */
import { findRoot, type Tangent } from './find-root.ts';

export interface CurvePoint extends Tangent {
  /** False where the argument lies outside the table: the end value is held, its derivative is 0. */
  readonly inRange: boolean;
}

export interface MonotoneCubic {
  /** y and ∂y/∂x at x. */
  at(x: number): CurvePoint;
  /**
   * x and ∂x/∂y at y; throws unless `invertible`. Where the curve starts or ends level, ∂x/∂y has no bound; it is then
   * held at a million times the chord's, so that it stays a number.
   */
  inverse(y: number): CurvePoint;
  /** True where y rises, or falls, from every point to the next. */
  readonly invertible: boolean;
}

interface Piece {
  readonly x0: number;
  readonly x1: number;
  readonly y0: number;
  readonly y1: number;
  /** y = y0 + dx (c1 + dx (c2 + dx c3)), dx = x − x0. */
  readonly c1: number;
  readonly c2: number;
  readonly c3: number;
}

const FLATTEST = 1e-6;

/** `x` rises strictly, `y` is finite, two points or more; throws a RangeError otherwise. */
export function monotoneCubic(x: readonly number[], y: readonly number[]): MonotoneCubic {
  const pieces = build(x, y);
  const first = pieces[0] as Piece;
  const last = pieces.at(-1) as Piece;
  const rising = pieces.every((piece) => piece.y1 > piece.y0);
  const invertible = rising || pieces.every((piece) => piece.y1 < piece.y0);
  return {
    invertible,
    at(at) {
      if (at > last.x1) return { value: last.y1, derivative: 0, inRange: false };
      if (!(at >= first.x0)) return { value: first.y0, derivative: 0, inRange: false };
      return {
        ...evaluate(
          find(pieces, (piece) => piece.x0 <= at),
          at,
        ),
        inRange: true,
      };
    },
    inverse(at) {
      if (!invertible)
        throw new RangeError('the table has no inverse: its values must rise throughout, or fall throughout');
      const sign = rising ? 1 : -1;
      if (sign * at > sign * last.y1) return { value: last.x1, derivative: 0, inRange: false };
      if (!(sign * at >= sign * first.y0)) return { value: first.x0, derivative: 0, inRange: false };
      const piece = find(pieces, ({ y0 }) => sign * y0 <= sign * at);
      const value = findRoot((to) => shifted(evaluate(piece, to), at), piece.x0, piece.x1);
      const flattest = FLATTEST * Math.abs((piece.y1 - piece.y0) / (piece.x1 - piece.x0));
      const slope = Math.max(Math.abs(evaluate(piece, value).derivative), flattest);
      return { value, derivative: sign / slope, inRange: true };
    },
  };
}

function build(x: readonly number[], y: readonly number[]): Piece[] {
  if (x.length !== y.length)
    throw new RangeError(`a table needs as many values (${y.length}) as arguments (${x.length})`);
  if (x.length < 2) throw new RangeError('a table needs at least two points');
  for (const [i, argument] of x.entries()) {
    if (!Number.isFinite(argument) || !Number.isFinite(y[i])) throw new RangeError(`point ${i + 1} is not a number`);
    if (i > 0 && !(argument > (x[i - 1] as number)))
      throw new RangeError(
        `arguments must rise: point ${i + 1} (${argument}) does not lie above point ${i} (${x[i - 1]})`,
      );
  }
  const chords = chordsOf(x, y);
  const slopes = slopesOf(chords);
  const pieces = chords.map(({ h, m }, i) => {
    const c1 = slopes[i] as number;
    const end = slopes[i + 1] as number;
    return {
      x0: x[i] as number,
      x1: x[i + 1] as number,
      y0: y[i] as number,
      y1: y[i + 1] as number,
      c1,
      c2: (3 * m - 2 * c1 - end) / h,
      c3: (c1 + end - 2 * m) / (h * h),
    };
  });
  const broken = pieces.findIndex(({ c1, c2, c3 }) => !Number.isFinite(c1 + c2 + c3));
  if (broken >= 0) throw new RangeError(`points ${broken + 1} and ${broken + 2} lie too far apart for numbers`);
  return pieces;
}

interface Chord {
  readonly h: number;
  readonly m: number;
}

function chordsOf(x: readonly number[], y: readonly number[]): Chord[] {
  return x.slice(1).map((to, i) => {
    const h = to - (x[i] as number);
    return { h, m: ((y[i + 1] as number) - (y[i] as number)) / h };
  });
}

function slopesOf(chords: readonly Chord[]): number[] {
  const first = chords[0] as Chord;
  const last = chords.at(-1) as Chord;
  if (chords.length === 1) return [first.m, first.m];
  const inner = chords.slice(1).map((right, i) => innerSlope(chords[i] as Chord, right));
  return [endSlope(first, chords[1] as Chord), ...inner, endSlope(last, chords.at(-2) as Chord)];
}

function innerSlope(left: Chord, right: Chord): number {
  if (!sameSign(left.m, right.m)) return 0;
  const wLeft = 2 * right.h + left.h;
  const wRight = right.h + 2 * left.h;
  return (wLeft + wRight) / (wLeft / left.m + wRight / right.m);
}

/** Parabola through the three outermost points, limited so that it keeps the shape of the data. */
function endSlope(outer: Chord, inner: Chord): number {
  const slope = ((2 * outer.h + inner.h) * outer.m - outer.h * inner.m) / (outer.h + inner.h);
  if (!sameSign(slope, outer.m)) return 0;
  if (!sameSign(outer.m, inner.m) && Math.abs(slope) > 3 * Math.abs(outer.m)) return 3 * outer.m;
  return slope;
}

/** Both above zero or both below. */
function sameSign(a: number, b: number): boolean {
  return (a > 0 && b > 0) || (a < 0 && b < 0);
}

/** The last piece for which `reached` holds, by bisection; the first where none does. */
function find(pieces: readonly Piece[], reached: (piece: Piece) => boolean): Piece {
  let low = 0;
  let high = pieces.length - 1;
  while (low < high) {
    const middle = (low + high + 1) >> 1;
    if (reached(pieces[middle] as Piece)) low = middle;
    else high = middle - 1;
  }
  return pieces[low] as Piece;
}

function evaluate({ x0, x1, y0, y1, c1, c2, c3 }: Piece, x: number): Tangent {
  const dx = x - x0;
  const value = y0 + dx * (c1 + dx * (c2 + dx * c3));
  // Rounding must not carry the value past the points it runs between.
  const held = x === x1 ? y1 : Math.min(Math.max(value, Math.min(y0, y1)), Math.max(y0, y1));
  return { value: held, derivative: c1 + dx * (2 * c2 + dx * 3 * c3) };
}

function shifted({ value, derivative }: Tangent, by: number): Tangent {
  return { value: value - by, derivative };
}
