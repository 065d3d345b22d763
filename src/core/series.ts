/**
 * The recent past in blocks: single samples where it is young, joined two by two as it grows old, so that a block is
 * never longer than a fixed share of its age. Every end piece of the past is a window that can be judged. A sample costs
 * the same however long the past is; memory grows with the logarithm of it.
 */
import type { Moments } from './moments.ts';

/** Plain data. `levels[k]` holds blocks of 2^k samples, oldest first; all of level k + 1 are older than those of k. */
export interface Series<B extends Moments> {
  levels: B[][];
}

/** A block is no longer than about this share of its age. */
const BLOCKS_A_LEVEL = 8;

export function emptySeries<B extends Moments>(): Series<B> {
  return { levels: [] };
}

/** Adds the newest block; what ended longer than `reach` ago is forgotten. */
export function append<B extends Moments>(
  { levels }: Series<B>,
  block: B,
  joinTwo: (older: B, newer: B) => B,
  reach: number,
): void {
  let carried: B | null = block;
  for (let k = 0; carried !== null; k++) {
    let level = levels[k];
    if (level === undefined) {
      level = [];
      levels.push(level);
    }
    level.push(carried);
    carried = null;
    if (level.length > BLOCKS_A_LEVEL) {
      const older = level.shift() as B;
      carried = joinTwo(older, level.shift() as B);
    }
  }
  const top = levels.at(-1) as B[];
  while (top.length > 0 && (top[0] as B).toT < block.toT - reach) top.shift();
  if (top.length === 0) levels.pop();
}

/** All blocks, newest first. */
export function newestFirst<B extends Moments>({ levels }: Series<B>): B[] {
  const blocks: B[] = [];
  for (const level of levels) for (let i = level.length - 1; i >= 0; i--) blocks.push(level[i] as B);
  return blocks;
}

/** So many of the newest blocks are looked at one by one. */
const ONE_BY_ONE = 20;
/** Older ones are joined while they are no longer than this share of their age. */
const SHARE_OF_AGE = 0.3;

/**
 * All blocks, newest first, the old ones joined to longer ones: their number, and so the cost of looking at them, hardly
 * grows with how long the past is.
 */
export function coarsened<B extends Moments>(series: Series<B>, joinTwo: (older: B, newer: B) => B): B[] {
  const blocks = newestFirst(series);
  const nowS = blocks[0]?.toT ?? 0;
  const kept = blocks.slice(0, ONE_BY_ONE);
  let group: B | null = null;
  for (let i = ONE_BY_ONE; i < blocks.length; i++) {
    const block = blocks[i] as B;
    if (group !== null && group.toT - block.fromT > SHARE_OF_AGE * (nowS - group.toT)) {
      kept.push(group);
      group = null;
    }
    group = group === null ? block : joinTwo(block, group);
  }
  if (group !== null) kept.push(group);
  return kept;
}

/** The newest `count` blocks joined to one; null where there are none. */
export function joined<B extends Moments>(
  blocks: readonly B[],
  count: number,
  joinTwo: (older: B, newer: B) => B,
): B | null {
  let whole: B | null = null;
  for (let i = 0; i < count && i < blocks.length; i++)
    whole = whole === null ? (blocks[i] as B) : joinTwo(blocks[i] as B, whole);
  return whole;
}

/** Forgets every block that reaches back before `t`. */
export function forgetBefore<B extends Moments>(series: Series<B>, t: number): void {
  series.levels = series.levels.map((level) => level.filter(({ fromT }) => fromT >= t));
  while (series.levels.length > 0 && series.levels.at(-1)?.length === 0) series.levels.pop();
}
