import { cumulativeStdNormalProbability, probit } from 'simple-statistics';
import { describe, expect, test } from 'vitest';
import { truncated } from '../../../src/core/uncertainty/combine.ts';
import { normalCdf, studentCdf, studentQuantile, studentT } from '../../../src/core/uncertainty/student.ts';
import { END_GAUGE, T_DIGITS, T_FRACTIONS, T_TABLE, Z_TABLE } from '../../reference/gum.ts';

describe("Student's t", () => {
  test.each(T_TABLE)('with %d degrees of freedom is that of GUM Table G.2', (degreesOfFreedom, row) => {
    // Half of the last printed digit; the largest are printed with two decimals as well.
    for (const [i, t] of row.entries())
      expect(Math.abs(studentT(T_FRACTIONS[i] as number, degreesOfFreedom) - t)).toBeLessThan(t > 200 ? 0.02 : 0.0051);
  });

  test.each(T_DIGITS)('with %d degrees of freedom has the digits of scipy', (degreesOfFreedom, row) => {
    for (const [i, fraction] of T_FRACTIONS.entries()) {
      const t = row[i] as number;
      expect(Math.abs(studentT(fraction, degreesOfFreedom) / t - 1)).toBeLessThan(1e-10);
    }
  });

  test('with one degree of freedom is the Cauchy distribution, with two a closed form', () => {
    for (const t of [-30, -1, -0.1, 0, 0.5, 3, 12.7]) {
      expect(studentCdf(t, 1)).toBeCloseTo(0.5 + Math.atan(t) / Math.PI, 14);
      expect(studentCdf(t, 2)).toBeCloseTo(0.5 + t / (2 * Math.sqrt(2 + t * t)), 14);
    }
  });

  test('goes over into the normal distribution without a step that anybody could see', () => {
    expect(Math.abs(studentT(0.95, 19_999) - studentT(0.95, 20_000))).toBeLessThan(2e-4);
    expect(studentT(0.95, Number.POSITIVE_INFINITY)).toBeCloseTo(1.959963984540054, 12);
  });

  test('takes the next lower number of degrees of freedom, rounding of the computer aside', () => {
    expect(truncated(END_GAUGE.printed.degreesOfFreedom)).toBe(END_GAUGE.printed.truncated);
    expect(truncated(10 - 1e-13)).toBe(10);
    expect(truncated(0.3)).toBe(1);
    expect(truncated(Number.POSITIVE_INFINITY)).toBe(Number.POSITIVE_INFINITY);
    expect(studentT(0.99, 16)).toBeCloseTo(END_GAUGE.printed.t99, 2);
  });
});

describe('The normal distribution', () => {
  test('agrees with a general-purpose library', () => {
    for (let z = -3; z <= 3; z += 0.23) {
      expect(normalCdf(z)).toBeCloseTo(cumulativeStdNormalProbability(z), 4);
      expect(studentQuantile(normalCdf(Math.abs(z)), Number.POSITIVE_INFINITY)).toBeCloseTo(Math.abs(z), 10);
    }
    expect(studentQuantile(0.95, Number.POSITIVE_INFINITY)).toBeCloseTo(probit(0.95), 2);
  });

  test('has its tails, without a step where one formula takes over from the other', () => {
    // Φ(−5) and Φ(−10) as tabulated with all digits (Abramowitz and Stegun, Table 26.2, and scipy).
    expect(normalCdf(-5) / 2.866515718791939e-7).toBeCloseTo(1, 12);
    expect(normalCdf(-10) / 7.61985302416047e-24).toBeCloseTo(1, 10);
    expect(normalCdf(-4 - 1e-12) / normalCdf(-4 + 1e-12)).toBeCloseTo(1, 9);
    expect([normalCdf(Number.NEGATIVE_INFINITY), normalCdf(Number.POSITIVE_INFINITY)]).toEqual([0, 1]);
  });

  test.each(Z_TABLE)('reaches %d one-sidedly at z = %d (JCGM 106, Table 1)', (probability, z) => {
    expect(Math.abs(studentQuantile(probability, Number.POSITIVE_INFINITY) - z)).toBeLessThan(0.0055);
  });
});
