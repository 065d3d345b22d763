/** Below, within, above, or as near as this bench can tell: a decision after JCGM 106:2012, clause 8. */
import type { MatchDescription } from '../description.ts';
import type { Reading } from '../events.ts';
import type { BudgetLine } from '../uncertainty/line.ts';
import { toldUncertainty } from '../uncertainty/rounding.ts';
import { sizeInWords } from '../uncertainty/words.ts';
import { largest } from './advice.ts';
import { type Conformity, conformity, guardBand } from './conformity.ts';
import { againstLevel, type Difference, match, type NotComparable } from './difference.ts';

/** What is asked for: a reading of the open job by its number, or a level at the reference temperature. */
export type TargetAsked =
  | { readonly from: 'reading'; readonly reading: number }
  | { readonly from: 'level'; readonly levelMm: number; readonly uMm: number };

export type Target = Extract<TargetAsked, { from: 'level' }> | { readonly from: 'reading'; readonly reading: Reading };

/** 'undecided': as near as this bench can tell. */
export const VERDICTS = ['below', 'within', 'above', 'undecided', 'not-comparable'] as const;
export type Result = (typeof VERDICTS)[number];

export interface Verdict {
  /** The reading that is judged. */
  readonly reading: number;
  readonly target: TargetAsked;
  readonly result: Result;
  /** Why it cannot be compared; null where it can. */
  readonly why: NotComparable | null;
  /** In English, as it is told. */
  readonly words: string;
  readonly judged: Judged | null;
  /** Who took an undecided one as good, and why. */
  readonly accepted: { readonly actor: string; readonly reason: string } | null;
}

/** The difference, and what it was held against. */
export interface Judged {
  /** Reading minus target. */
  readonly differenceMm: number;
  readonly U95Mm: number;
  readonly coverageFactor: number;
  readonly budget: readonly BudgetLine[];
  readonly toleranceMm: number;
  /** A difference this far inside the tolerance counts as within; null where none would. */
  readonly guardMm: number | null;
  readonly probability: Conformity;
  /** What would make the difference surer. */
  readonly improve: string | null;
}

export function verdict(target: Target, reading: Reading, description: MatchDescription): Verdict {
  const head = { reading: reading.id, target: targetAsked(target), accepted: null } as const;
  if (target.from === 'level') return { ...head, ...judge(againstLevel(target, reading, description), description) };
  const found = match(target.reading, reading, description);
  if (found.comparable) return { ...head, ...judge(found.difference, description) };
  const { why, words } = found;
  return { ...head, result: 'not-comparable', why, words: `Not compared. ${words}`, judged: null };
}

/** How a target is named. */
export function targetAsked(target: Target): TargetAsked {
  return target.from === 'level' ? target : { from: 'reading', reading: target.reading.id };
}

type Decision = Pick<Verdict, 'result' | 'why' | 'words' | 'judged'>;

function judge(difference: Difference, { toleranceMm, rule }: MatchDescription): Decision {
  const { mm, uMm, U95Mm, coverageFactor, budget, degreesOfFreedom } = difference;
  const spread = { u: uMm, degreesOfFreedom };
  const probability = conformity({ ...spread, value: mm }, -toleranceMm, toleranceMm);
  const guardMm = rule.by === 'guard' ? rule.guardMm : guardBand(spread, toleranceMm, rule.probability);
  const result =
    rule.by === 'guard' ? byGuard(mm, toleranceMm, rule.guardMm) : byProbability(probability, rule.probability);
  const most = largest(budget);
  const improve = most && `${most.remedy} (most of the doubt: ${most.component})`;
  const judged = { differenceMm: mm, U95Mm, coverageFactor, budget, toleranceMm, guardMm, probability, improve };
  return { result, why: null, words: words(result, judged), judged };
}

function byProbability({ below, within, above }: Conformity, required: number): Result {
  if (within >= required) return 'within';
  if (below >= required) return 'below';
  return above >= required ? 'above' : 'undecided';
}

function byGuard(mm: number, toleranceMm: number, guardMm: number): Result {
  if (Math.abs(mm) <= toleranceMm - guardMm) return 'within';
  if (Math.abs(mm) < toleranceMm + guardMm) return 'undecided';
  return mm < 0 ? 'below' : 'above';
}

function words(
  result: Result,
  { differenceMm: mm, U95Mm, toleranceMm, guardMm, probability, improve }: Judged,
): string {
  const size = Math.abs(mm).toFixed(toldUncertainty(U95Mm).decimals);
  const side = Number(size) === 0 ? 'at the target' : `${size} mm ${mm < 0 ? 'below' : 'above'} the target`;
  const fact = `${side}, sure to ${sizeInWords(U95Mm)}; ±${Number(toleranceMm.toPrecision(4))} mm is allowed`;
  if (result === 'undecided') {
    const never =
      guardMm === null || guardMm > toleranceMm ? ' No level would be sure to be within, as things are.' : '';
    return `As near as this bench can tell: ${fact}.${never}${improve === null ? '' : ` To tell more: ${improve}.`}`;
  }
  const { below, within, above } = probability;
  const share = result === 'within' ? within : result === 'below' ? below : above;
  const name = result === 'within' ? 'Within' : result === 'below' ? 'Below' : 'Above';
  return `${name}: ${fact}. ${percent(share)} sure.`;
}

/** Rounded down: nothing is surer than it is. */
function percent(share: number): string {
  return share > 0.999 ? 'More than 99.9 %' : `${Math.floor(share * 1000) / 10} %`;
}
