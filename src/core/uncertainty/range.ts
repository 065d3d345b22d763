/**
 * Largest minus smallest of n normal values, on average, in standard deviations: the d₂ of control charts (ISO 7870-2),
 * ∫ 1 − Φⁿ − (1 − Φ)ⁿ dx (Tippett, Biometrika 17, 1925), by Simpson's rule.
 */
import { normalCdf } from './student.ts';

const END = 9;
const STEPS = 900;

export function meanRange(n: number): number {
  const width = (2 * END) / STEPS;
  let sum = 0;
  for (let i = 0; i <= STEPS; i++) {
    const x = -END + i * width;
    const below = Math.exp(n * Math.log(normalCdf(x)));
    const above = Math.exp(n * Math.log(normalCdf(-x)));
    const weight = i === 0 || i === STEPS ? 1 : i % 2 === 1 ? 4 : 2;
    sum += weight * (1 - below - above);
  }
  return (sum * width) / 3;
}
