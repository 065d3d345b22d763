/** A covariance matrix as a product of a triangle with itself: independent parts of what is known together. */

/**
 * Lower triangle L with L·Lᵀ = matrix (Cholesky); a row that adds nothing of its own gives zeros.
 * Throws a TypeError where the matrix is none of a covariance.
 */
export function cholesky(matrix: readonly (readonly number[])[]): number[][] {
  const lower: number[][] = [];
  for (const [i, row] of matrix.entries()) {
    const mine: number[] = [];
    for (let j = 0; j <= i; j++) {
      const other = j === i ? mine : (lower[j] as number[]);
      let rest = row[j] ?? Number.NaN;
      for (let k = 0; k < j; k++) rest -= (mine[k] as number) * (other[k] as number);
      const size = row[i] ?? Number.NaN;
      if (j < i) mine.push((other[j] as number) === 0 ? 0 : rest / (other[j] as number));
      else if (rest >= -1e-12 * size) mine.push(Math.sqrt(Math.max(0, rest)));
      else throw new TypeError(`no covariance matrix: row ${i + 1} leaves a variance of ${rest}`);
    }
    lower.push(mine);
  }
  return lower;
}
