/**
 * A slope learned from the bench's own warm-up: level against temperature while the fluid warms and nobody adds or drains.
 * It holds everything that moves the gauge with temperature (expansion, sound, lag, drain-back), so it stands alone and
 * is never used on top of a model.
 */
import { effectiveCount, fitLine } from '../statistics.ts';
import type { LearnedSlope, LearningRefusal } from './description.ts';

/** Means over steps of temperature, in order of rising temperature; plain data. */
export interface WarmingState {
  steps: { tC: number; mm: number }[];
  /** Sums of the step that is being filled. */
  n: number;
  sumC: number;
  sumMm: number;
  /** Where that step began. */
  fromC: number | null;
}

export type Learning =
  | { readonly learned: LearnedSlope; readonly refusal: null }
  | { readonly learned: null; readonly refusal: LearningRefusal };

/** Fine enough for curvature, coarse enough that each mean rests on several samples. */
const STEP_K = 0.25;
/** Fallen back by so much, it no longer warms. */
const BACK_K = 1;
const MOST_STEPS = 600;
/** A line wants at least so many steps, over so many kelvins. */
const LEAST = { steps: 16, spanK: 6 };
/** Bends count when they are this many standard errors, and change the slope by this share along the way. */
const BENT = { errors: 3, share: 0.25 };
/** A step this many standard deviations off the line was no warming. */
const JUMP = 5;

export function emptyWarming(): WarmingState {
  return { steps: [], n: 0, sumC: 0, sumMm: 0, fromC: null };
}

/** One more pair of a level as measured and a temperature. Only what rises is taken. */
export function addWarming(state: WarmingState, tC: number, mm: number): void {
  if (state.fromC === null || tC < state.fromC - BACK_K) Object.assign(state, { ...emptyWarming(), fromC: tC });
  const fromC = state.fromC as number;
  if (tC >= fromC + STEP_K) {
    if (state.n > 0) state.steps.push({ tC: state.sumC / state.n, mm: state.sumMm / state.n });
    if (state.steps.length > MOST_STEPS) state.steps.shift();
    Object.assign(state, { n: 0, sumC: 0, sumMm: 0, fromC: tC });
  } else if (tC < fromC) return;
  state.n++;
  state.sumC += tC;
  state.sumMm += mm;
}

/** What the warm-up teaches for use around `useC`. */
export function learn({ steps }: WarmingState, useC: number): Learning {
  const first = steps[0];
  const last = steps.at(-1);
  if (first === undefined || last === undefined || steps.length < LEAST.steps || last.tC - first.tC < LEAST.spanK)
    return { learned: null, refusal: 'too-short' };
  const t = steps.map(({ tC }) => tC);
  const y = steps.map(({ mm }) => mm);
  const line = fitLine(t, y);
  if (line === null) return { learned: null, refusal: 'too-short' };
  const n = t.length;
  const meanC = t.reduce((sum, each) => sum + each, 0) / n;
  const residuals = y.map((mm, i) => mm - line.mean - line.slope * ((t[i] as number) - meanC));
  if (residuals.some((residual) => Math.abs(residual) > JUMP * line.residual && line.residual > 0))
    return { learned: null, refusal: 'jumped' };
  const bend = bendOf(
    t.map((each) => each - meanC),
    residuals,
  );
  const spanK = last.tC - first.tC;
  if (
    Math.abs(bend.mmPerK2) > BENT.errors * bend.u &&
    2 * Math.abs(bend.mmPerK2) * spanK > BENT.share * Math.abs(line.slope)
  )
    return { learned: null, refusal: 'curved' };
  // Neighbouring steps err alike: fewer independent ones, larger errors.
  const uLine = line.uSlope * Math.sqrt(n / effectiveCount(n, line.lag1));
  // Used beside where it was learned, a bend that was not seen changes it: rectangular.
  const uBeside = (2 * (Math.abs(bend.mmPerK2) + bend.u) * Math.abs(useC - meanC)) / Math.sqrt(3);
  return {
    learned: {
      mmPerK: line.slope,
      uMmPerK: Math.sqrt(uLine * uLine + uBeside * uBeside),
      fromC: first.tC,
      toC: last.tC,
      points: n,
    },
    refusal: null,
  };
}

/** Coefficient of a parabola made orthogonal to the line, with its standard error from the scatter about both. */
function bendOf(x: readonly number[], residuals: readonly number[]): { mmPerK2: number; u: number } {
  const n = x.length;
  let x2 = 0;
  let x3 = 0;
  for (const each of x) {
    x2 += each * each;
    x3 += each * each * each;
  }
  const q = x.map((each) => each * each - (x3 / x2) * each - x2 / n);
  const norm = q.reduce((sum, each) => sum + each * each, 0);
  const mmPerK2 = q.reduce((sum, each, i) => sum + each * (residuals[i] as number), 0) / norm;
  const left = residuals.map((residual, i) => residual - mmPerK2 * (q[i] as number));
  const squares = left.reduce((sum, each) => sum + each * each, 0);
  const lag1 = squares > 0 ? left.reduce((sum, each, i) => sum + each * (left[i + 1] ?? 0), 0) / squares : 0;
  const variance = squares / (n - 3);
  return { mmPerK2, u: Math.sqrt((variance / norm) * (n / effectiveCount(n, lag1))) };
}
