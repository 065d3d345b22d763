/** From the points that were taken to what a certificate says. */
import type { CalibrationPoint, CorrectionResult, RefitResult } from './certificate.ts';
import { type CertificateOf, corrected } from './in-force.ts';
import { fitPolynomial, HIGHEST_DEGREE, type PolynomialFit } from './polynomial-fit.ts';

/** One point: the reference and what the instrument indicated, without any calibration; mean of `count` values. */
export interface TakenPoint {
  readonly reference: number;
  /** Of this reference value alone. */
  readonly uReference: number;
  readonly indicated: number;
  readonly uIndicated: number;
  readonly count: number;
}

export interface Certified {
  readonly result: CorrectionResult;
  readonly points: readonly CalibrationPoint[];
  readonly fit: PolynomialFit;
}

/**
 * The correction, reference − indicated, as a polynomial of the indicated value. Repeats of one reference value tell
 * scatter from lack of fit. `leastU`, such as half a step of the display, is what points without an uncertainty have where
 * no scatter can tell it. Throws a RangeError where the points cannot hold it.
 */
export function correctionFrom(
  taken: readonly TakenPoint[],
  degree: number,
  before: CertificateOf<'correction'> | null,
  leastU: number,
): Certified {
  if (!Number.isInteger(degree) || degree < 0 || degree > HIGHEST_DEGREE)
    throw new RangeError(`a correction is a polynomial of degree 0 to ${HIGHEST_DEGREE}, not ${degree}`);
  const scatterTells = taken.length > degree + 1 && taken.every((point) => point.uReference + point.uIndicated === 0);
  const fit = fitPolynomial(
    taken.map(({ reference, uReference, indicated, uIndicated }) => {
      const stated = Math.sqrt(uReference * uReference + uIndicated * uIndicated);
      const u = stated > 0 ? stated : scatterTells ? 0 : leastU;
      return { x: indicated, y: reference - indicated, u: u > 0 ? u : null, group: reference };
    }),
    degree,
  );
  const indicated = taken.map((point) => point.indicated);
  const { centre, halfSpan, coefficients, covariance, degreesOfFreedom } = fit;
  return {
    fit,
    points: taken.map((point, i) => ({
      ...point,
      asFound: corrected(before, point.indicated).value - point.reference,
      // Where the correction falls short of what it ought to be, the corrected value is too low.
      asLeft: -(fit.residuals[i] as number),
    })),
    result: {
      kind: 'correction',
      low: Math.min(...indicated),
      high: Math.max(...indicated),
      centre,
      halfSpan,
      coefficients,
      covariance: symmetric(covariance),
      degreesOfFreedom,
      residualSd: fit.residualSd,
      scatterDegreesOfFreedom: fit.scatterDegreesOfFreedom,
      lackOfFit: fit.lackOfFit,
    },
  };
}

/** Scatter of the values after each of several fittings of the sensor: n − 1 degrees of freedom. */
export function refitFrom(values: readonly number[]): RefitResult {
  if (values.length < 2) throw new RangeError('two fittings at least are needed to see how far they scatter');
  const mean = values.reduce((sum, value) => sum + value, 0) / values.length;
  const squares = values.reduce((sum, value) => sum + (value - mean) * (value - mean), 0);
  return { kind: 'refit', sd: Math.sqrt(squares / (values.length - 1)), degreesOfFreedom: values.length - 1 };
}

/** The last digits of both halves may differ. */
export function symmetric(covariance: readonly (readonly number[])[]): number[][] {
  return covariance.map((row, i) => row.map((entry, j) => (j < i ? (covariance[j]?.[i] ?? entry) : entry)));
}
