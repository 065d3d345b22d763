/**
 * Linear least squares: the columns are made orthogonal one after the other (modified Gram–Schmidt; Björck, BIT 7,
 * 1967), each coefficient is found in that basis, where it leans on no other, and brought back at the end. All sums are
 * kept to twice the digits of a double.
 */
import { minus, over, plus, type Twofold, times, twofold, ZERO } from './double-double.ts';

export interface LeastSquares {
  readonly coefficients: readonly Twofold[];
  /** (XᵀWX)⁻¹: the covariance of the coefficients over the variance of an observation of weight 1. */
  readonly inverse: readonly (readonly Twofold[])[];
  /** Observed minus fitted. */
  readonly residuals: readonly number[];
  /** Sum of weight × residual². */
  readonly squares: number;
  readonly degreesOfFreedom: number;
}

/** A column that the others leave less than this share of is no column of its own. */
const DEPENDENT = 1e-24;

/**
 * Columns of equal length as long as `y`; weights above 0, all 1 where none are given. Throws a RangeError where the
 * points do not determine the coefficients.
 */
export function leastSquares(
  columns: readonly (readonly Twofold[])[],
  y: readonly number[],
  weights?: readonly number[],
): LeastSquares {
  const n = y.length;
  if (n < columns.length)
    throw new RangeError(`${columns.length} coefficients need as many points, and there are ${n}`);
  const w = y.map((_, i) => twofold(weights?.[i] ?? 1));
  const dot = (a: readonly Twofold[], b: readonly Twofold[]): Twofold =>
    a.reduce((total, value, i) => plus(total, times(w[i] as Twofold, times(value, b[i] as Twofold))), ZERO);
  const basis: (readonly Twofold[])[] = [];
  const lengths: Twofold[] = [];
  /** Upper triangle with a diagonal of ones: column j = Σ triangle[k][j] · basis[k]. */
  const triangle = columns.map(() => columns.map(() => ZERO));
  for (const [j, column] of columns.entries()) {
    const before = dot(column, column);
    let left = column;
    for (const [k, done] of basis.entries()) {
      const share = over(dot(done, left), lengths[k] as Twofold);
      (triangle[k] as Twofold[])[j] = share;
      left = left.map((value, i) => minus(value, times(share, done[i] as Twofold)));
    }
    const length = dot(left, left);
    if (!(length[0] > DEPENDENT * before[0])) throw new RangeError('the points do not tell the coefficients apart');
    (triangle[j] as Twofold[])[j] = twofold(1);
    basis.push(left);
    lengths.push(length);
  }
  let rest = y.map(twofold);
  const projections = basis.map((q, k) => {
    const share = over(dot(q, rest), lengths[k] as Twofold);
    rest = rest.map((value, i) => minus(value, times(share, q[i] as Twofold)));
    return share;
  });
  const back = inverted(triangle);
  const p = columns.length;
  return {
    coefficients: back.map((row) => row.reduce((s, b, k) => plus(s, times(b, projections[k] as Twofold)), ZERO)),
    inverse: range(p).map((i) =>
      range(p).map((j) =>
        range(p).reduce((s, k) => {
          const both = times(at(back, i, k), at(back, j, k));
          return plus(s, over(both, lengths[k] as Twofold));
        }, ZERO),
      ),
    ),
    residuals: rest.map(([high]) => high),
    squares: dot(rest, rest)[0],
    degreesOfFreedom: n - p,
  };
}

/** Inverse of an upper triangle with a diagonal of ones. */
function inverted(triangle: readonly (readonly Twofold[])[]): Twofold[][] {
  const p = triangle.length;
  const inverse = range(p).map((i) => range(p).map((j) => twofold(i === j ? 1 : 0)));
  for (let j = 0; j < p; j++)
    for (let i = j - 1; i >= 0; i--) {
      let s = ZERO;
      for (let k = i + 1; k <= j; k++) s = minus(s, times(at(triangle, i, k), at(inverse, k, j)));
      (inverse[i] as Twofold[])[j] = s;
    }
  return inverse;
}

function at(matrix: readonly (readonly Twofold[])[], i: number, j: number): Twofold {
  return matrix[i]?.[j] ?? ZERO;
}

function range(n: number): number[] {
  return Array.from({ length: n }, (_, i) => i);
}
