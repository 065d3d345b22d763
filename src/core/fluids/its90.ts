/**
 * Temperatures of formulas older than 1990: t68 − t90 from −200 to 630 °C as the polynomial in t/630 °C that API MPMS
 * 11.1-2004 (ASTM D1250-04) prescribes. A few hundredths of a kelvin at most below 200 °C.
 */
const A = [-0.148759, -0.267408, 1.08076, 1.269056, -4.089591, -1.871251, 7.438081, -3.536296] as const;
const SPAN_C = 630;

export interface Shifted {
  readonly value: number;
  /** ∂t68/∂t90 and ∂²t68/∂t90². */
  readonly slope: number;
  readonly curvature: number;
}

/** Temperature on IPTS-68, °C, from the same temperature on ITS-90. */
export function ipts68(t90C: number): Shifted {
  const tau = t90C / SPAN_C;
  let sum = 0;
  let first = 0;
  let second = 0;
  for (let i = A.length - 1; i >= 0; i--) {
    second = second * tau + 2 * first;
    first = first * tau + sum;
    sum = sum * tau + (A[i] as number);
  }
  // The polynomial has no constant term: one more factor tau.
  second = second * tau + 2 * first;
  first = first * tau + sum;
  sum *= tau;
  return { value: t90C - sum, slope: 1 - first / SPAN_C, curvature: -second / (SPAN_C * SPAN_C) };
}
