/** What each component is worth: the expanded uncertainty with it halved, and without it. */
import { nameOf, remedyFor } from '../match/advice.ts';
import { combine, groupsOf } from './combine.ts';
import type { BudgetLine } from './line.ts';

export interface Worth {
  readonly component: string;
  readonly shared: string | null;
  readonly lines: readonly BudgetLine[];
  /** What it adds, with what it shares, mm. */
  readonly contributionMm: number;
  /** Its share of the variance. */
  readonly share: number;
  readonly halvedU95Mm: number;
  readonly goneU95Mm: number;
  readonly remedy: string;
}

/** Largest first; what adds nothing stands at the end. */
export function worthOf(budget: readonly BudgetLine[]): Worth[] {
  const groups = groupsOf(budget);
  const { uMm } = combine(budget);
  return groups
    .map((group) => {
      const scaled = (factor: number) =>
        combine(budget.map((one) => (group.lines.includes(one) ? { ...one, u: factor * one.u } : one))).U95Mm;
      const { shared, lines, signedMm } = group;
      return {
        component: nameOf(group),
        shared,
        lines,
        contributionMm: Math.abs(signedMm),
        share: uMm > 0 ? (signedMm * signedMm) / (uMm * uMm) : 0,
        halvedU95Mm: scaled(0.5),
        goneU95Mm: scaled(0),
        remedy: remedyFor(nameOf(group)),
      };
    })
    .sort((a, b) => b.contributionMm - a.contributionMm);
}
