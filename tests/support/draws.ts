/** Random draws for simulations: seeded, the same on every machine. */
import type { BudgetLine } from '../../src/core/uncertainty/line.ts';

/** Uniform in (0, 1): a 32-bit generator of the xorshift family (Marsaglia, J. Statistical Software 8(14), 2003). */
export function uniforms(seed: number): () => number {
  let state = (seed * 2654435761) >>> 0 || 1;
  for (let i = 0; i < 8; i++) step();
  function step(): number {
    state ^= state << 13;
    state ^= state >>> 17;
    state ^= state << 5;
    state >>>= 0;
    return state;
  }
  return () => (step() + 0.5) / 4294967296;
}

/** Standard normal, by the polar method. */
export function normals(seed: number): () => number {
  return normalsFrom(uniforms(seed));
}

export function normalsFrom(uniform: () => number): () => number {
  return () => {
    for (;;) {
      const x = 2 * uniform() - 1;
      const y = 2 * uniform() - 1;
      const s = x * x + y * y;
      if (s > 0 && s < 1) return x * Math.sqrt((-2 * Math.log(s)) / s);
    }
  };
}

/** The error of a quantity as a budget line declares it (JCGM 101, 6.4), in its unit. */
export function drawError({ distribution, value, u, degreesOfFreedom }: BudgetLine, uniform: () => number): number {
  const normal = normalsFrom(uniform);
  switch (distribution) {
    case 'rectangular':
      return value * (2 * uniform() - 1);
    case 'triangular':
      return value * (uniform() - uniform());
    case 'arcsine':
      return value * Math.sin(2 * Math.PI * uniform());
    case 'normal':
    case 't': {
      if (degreesOfFreedom === null) return u * normal();
      // t with ν degrees of freedom: normal over the root of χ²/ν; ν is a whole number here.
      let square = 0;
      const whole = Math.max(1, Math.floor(degreesOfFreedom));
      for (let i = 0; i < whole; i++) square += normal() ** 2;
      return (u * normal()) / Math.sqrt(square / whole);
    }
  }
}

/** Half of the shortest interval that holds the share `coverage` of the values. */
export function halfWidth(values: readonly number[], coverage = 0.95): number {
  const sorted = Float64Array.from(values).sort();
  const span = Math.round(coverage * sorted.length);
  let least = Number.POSITIVE_INFINITY;
  for (let i = 0; i + span < sorted.length; i++)
    least = Math.min(least, (sorted[i + span] as number) - (sorted[i] as number));
  return least / 2;
}
