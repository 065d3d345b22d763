/** From the lines of a budget to an expanded uncertainty: GUM 5.1, 5.2 and annex G. */
import type { BudgetLine } from './line.ts';
import { studentT } from './student.ts';

/** What is independent of everything else: the lines of one shared key, or a line without one. */
export interface Group {
  readonly shared: string | null;
  readonly lines: readonly BudgetLine[];
  /** Σ sensitivity × u with signs, mm. */
  readonly signedMm: number;
  /** The fewest of its lines; null for infinite. */
  readonly degreesOfFreedom: number | null;
}

export interface Combined {
  /** Combined standard uncertainty. */
  readonly uMm: number;
  /** Effective, as computed: not truncated; Infinity allowed. */
  readonly degreesOfFreedom: number;
  /** For about 95 %. */
  readonly coverageFactor: number;
  readonly U95Mm: number;
}

export const COVERAGE = 0.95;

/** The groups in the order of their first lines. */
export function groupsOf(budget: readonly BudgetLine[]): Group[] {
  const lists: BudgetLine[][] = [];
  const byKey = new Map<string, BudgetLine[]>();
  for (const one of budget) {
    const known = one.shared === null ? undefined : byKey.get(one.shared);
    if (known !== undefined) {
      known.push(one);
      continue;
    }
    const list = [one];
    lists.push(list);
    if (one.shared !== null) byKey.set(one.shared, list);
  }
  return lists.map((lines) => ({
    shared: lines[0]?.shared ?? null,
    lines,
    signedMm: lines.reduce((sum, { sensitivity, u }) => sum + sensitivity * u, 0),
    degreesOfFreedom: lines.reduce<number | null>((least, { degreesOfFreedom: one }) => fewer(least, one), null),
  }));
}

/** Fewer of two numbers of degrees of freedom, null being infinite. */
function fewer(a: number | null, b: number | null): number | null {
  if (a === null || b === null) return a ?? b;
  return Math.min(a, b);
}

/**
 * Law of propagation (GUM 10 and 13): what is shared adds with its sign, what is independent in squares. Effective degrees
 * of freedom by Welch–Satterthwaite (G.2b) over the independent groups; within a group, where the formula says nothing,
 * the fewest count. The number is truncated before the factor is taken (G.4.1).
 */
export function combine(budget: readonly BudgetLine[]): Combined {
  let variance = 0;
  let fourth = 0;
  for (const { signedMm, degreesOfFreedom } of groupsOf(budget)) {
    const square = signedMm * signedMm;
    variance += square;
    if (degreesOfFreedom !== null) fourth += (square * square) / degreesOfFreedom;
  }
  const uMm = Math.sqrt(variance);
  const degreesOfFreedom = fourth > 0 ? (variance * variance) / fourth : Number.POSITIVE_INFINITY;
  const coverageFactor = studentT(COVERAGE, truncated(degreesOfFreedom));
  return { uMm, degreesOfFreedom, coverageFactor, U95Mm: coverageFactor * uMm };
}

/** The next lower integer, at least 1 (GUM G.4.1); 9.999999999 is 10 with the rounding of a computer. */
export function truncated(degreesOfFreedom: number): number {
  return Math.max(1, Math.floor(degreesOfFreedom * (1 + 1e-9)));
}

/** Covariance of two results, by what they share (GUM F.1.2.3), mm². */
export function covarianceMm2(a: readonly BudgetLine[], b: readonly BudgetLine[]): number {
  const others = new Map(groupsOf(b).map(({ shared, signedMm }) => [shared, signedMm]));
  return groupsOf(a).reduce(
    (sum, { shared, signedMm }) => (shared === null ? sum : sum + signedMm * (others.get(shared) ?? 0)),
    0,
  );
}
