import type { Tangent } from '../find-root.ts';

/** Σ cᵢ xⁱ and its slope, by Horner's scheme. */
export function polynomial(coefficients: readonly number[], x: number): Tangent {
  let value = 0;
  let derivative = 0;
  for (let i = coefficients.length - 1; i >= 0; i--) {
    derivative = derivative * x + value;
    value = value * x + (coefficients[i] as number);
  }
  return { value, derivative };
}
