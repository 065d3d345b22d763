/**
 * What a shop would write itself: ready while greatest minus least of the last `holdS` seconds stays within a limit,
 * after a median of five or not. It gets the product's own compensated levels, with what is out of range or doubted
 * already gone.
 */
import type { Level } from './play.ts';
import { type Span, SpanBuilder } from './spans.ts';

export interface Spread {
  readonly tS: number;
  /** Infinite until the hold is covered. */
  readonly mm: number;
}

/** Greatest minus least over the hold at each level. After more than `forgetS` without one the hold begins anew. */
export function spreads(levels: readonly Level[], holdS: number, withMedian: boolean, forgetS: number): Spread[] {
  const filtered = withMedian ? medianOfFive(levels) : levels;
  /** Indices of falling (rising) levels: the first is the greatest (least) of the hold. */
  const most: number[] = [];
  const least: number[] = [];
  let mostFrom = 0;
  let leastFrom = 0;
  let beganS = Number.NEGATIVE_INFINITY;
  const mm = (i: number) => (filtered[i] as Level).mm;
  const at = (i: number) => (filtered[i] as Level).tS;
  return filtered.map((level, i) => {
    if (i === 0 || level.tS - at(i - 1) > forgetS) {
      beganS = level.tS;
      most.length = mostFrom = 0;
      least.length = leastFrom = 0;
    }
    while (most.length > mostFrom && mm(most.at(-1) as number) <= level.mm) most.pop();
    while (least.length > leastFrom && mm(least.at(-1) as number) >= level.mm) least.pop();
    most.push(i);
    least.push(i);
    while (at(most[mostFrom] as number) < level.tS - holdS) mostFrom++;
    while (at(least[leastFrom] as number) < level.tS - holdS) leastFrom++;
    const covered = level.tS - beganS >= holdS;
    return {
      tS: level.tS,
      mm: covered ? mm(most[mostFrom] as number) - mm(least[leastFrom] as number) : Number.POSITIVE_INFINITY,
    };
  });
}

export function holds(found: readonly Spread[], limitMm: number, lastsS: number): readonly Span[] {
  const spans = new SpanBuilder();
  for (const { tS, mm } of found) spans.set(tS, mm <= limitMm);
  return spans.end(lastsS);
}

/** Of the last five levels up to each; of as many as there are at the beginning. */
export function medianOfFive(levels: readonly Level[]): Level[] {
  return levels.map(({ tS }, i) => {
    const last = levels
      .slice(Math.max(0, i - 4), i + 1)
      .map(({ mm }) => mm)
      .sort((a, b) => a - b);
    return { tS, mm: last[last.length >> 1] as number };
  });
}
