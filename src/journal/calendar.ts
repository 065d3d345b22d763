/** Calendar time of a stamp, from the wall anchors of its run. */
import type { Input, InputOf } from '../core/events.ts';

export interface Anchor {
  readonly run: number;
  readonly tUs: number;
  readonly utcMs: number;
}

export function anchorOf(run: number, wall: InputOf<'wall'> & Pick<Input, 'tUs'>): Anchor {
  return { run, tUs: wall.tUs, utcMs: wall.utcMs };
}

/**
 * The rule for outcomes: dated by the latest anchor before them in the stream; those before the first anchor of a run
 * by that one, backwards. 0 where the run has none (yet).
 * @returns whole ms since 1970-01-01T00:00Z
 */
export function utcMsAt(anchor: Anchor | null, run: number, tUs: number): number {
  if (anchor === null || anchor.run !== run) return 0;
  return Math.round(anchor.utcMs + (tUs - anchor.tUs) / 1000);
}
