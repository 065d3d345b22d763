/** Wild values and moves: a lone value far from its neighbours is set aside, several together are a move of the level. */
import { median } from './statistics.ts';

export interface ScreeningState {
  /** The latest values that were let through. */
  ring: number[];
  pushedS: number;
  /** How many values wait for a verdict, and on which side of the rest they are. */
  waiting: number;
  /** Since when there is suspicion. */
  sinceS: number;
  side: number;
  /** How many of them in a row are on this side. */
  together: number;
  /** Rises by one with every value far away, falls by half with every other. */
  suspicion: number;
  /** Share of wild values lately. */
  wildShare: number;
}

export type Verdict = 'kept' | 'wait' | 'moved';

const RING = 9;
/** The values in it stand at least so far apart, so that it holds about one wave. */
const APART_S = 0.1;
const FEWEST = 4;
/** So many robust standard deviations away is wild. */
const WILD_DEVIATIONS = 6;
/** A move is so many values on one side together, over so long; or as many scattered ones, as waves make, over longer. */
const TOGETHER = 3;
const TOGETHER_S = 0.12;
const SCATTERED_S = 0.5;
const SHARE_MEMORY = 40;

export function emptyScreening(): ScreeningState {
  return { ring: [], pushedS: 0, waiting: 0, sinceS: 0, side: 0, together: 0, suspicion: 0, wildShare: 0 };
}

/** `harmless`: what is no farther than this from its neighbours is never wild. */
export function screen(state: ScreeningState, tS: number, y: number, harmless: number): Verdict {
  const { ring } = state;
  if (ring.length < FEWEST) return keep(state, tS, y);
  const centre = median(ring);
  const away = y - centre;
  const limit = Math.max(harmless, WILD_DEVIATIONS * 1.4826 * median(ring.map((one) => Math.abs(one - centre))));
  if (Math.abs(away) <= limit) return keep(state, tS, y);
  const side = away > 0 ? 1 : -1;
  if (state.suspicion <= 0) state.sinceS = tS;
  state.together = state.waiting > 0 && side === state.side ? state.together + 1 : 1;
  state.side = side;
  state.waiting++;
  state.suspicion++;
  const lasts = tS - state.sinceS;
  if (state.together >= TOGETHER && lasts >= TOGETHER_S) return 'moved';
  return state.suspicion >= TOGETHER && lasts >= SCATTERED_S ? 'moved' : 'wait';
}

/** The level is another one from here on. */
export function forgetRing(state: ScreeningState): void {
  state.ring = [];
  state.waiting = 0;
  state.suspicion = 0;
}

function keep(state: ScreeningState, tS: number, y: number): Verdict {
  settleWaiting(state);
  state.suspicion = Math.max(0, state.suspicion - 0.5);
  state.wildShare -= state.wildShare / SHARE_MEMORY;
  if (state.ring.length >= FEWEST && tS - state.pushedS < APART_S) return 'kept';
  state.pushedS = tS;
  state.ring.push(y);
  if (state.ring.length > RING) state.ring.shift();
  return 'kept';
}

/** Those that waited were wild. */
function settleWaiting(state: ScreeningState): void {
  for (; state.waiting > 0; state.waiting--) state.wildShare += (1 - state.wildShare) / SHARE_MEMORY;
}
