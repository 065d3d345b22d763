/** Does another dose fit before the window closes, and where the level must stand when the tap is shut. */
import type { TimeToGo } from '../events.ts';
import { afterDose, type Knowledge } from './knowledge.ts';
import type { Response } from './response.ts';

/** What one dose takes, s: to pour or drain, until the walls have drained back, until a reading is calm. */
export interface DoseTime {
  readonly doseS: number;
  readonly drainBackS: number;
  readonly readS: number;
}

export interface Fits {
  /** `surely`: even if the window closes as early as it may; `perhaps`: only if it closes when expected. */
  readonly verdict: 'surely' | 'perhaps' | 'no' | 'unknown';
  /** Doses that surely fit, each with its reading. */
  readonly doses: number;
  readonly words: string;
}

/** `closes`: until the window closes, with its interval; null where no forecast can be made. */
export function dosesBefore(closes: TimeToGo | null, time: DoseTime, way: 'add' | 'drain'): Fits {
  const one = way === 'drain' ? 'drain' : 'addition';
  const eachS = time.doseS + time.drainBackS + time.readS;
  if (closes === null || !(eachS > 0))
    return { verdict: 'unknown', doses: 0, words: 'When the window closes cannot be told yet.' };
  const doses = Math.max(0, Math.floor(closes.lowS / eachS));
  const when = `the window closes in ${clock(closes.s)}`;
  const early = closes.lowS < 0.9 * closes.s ? ` (${clock(closes.lowS)} at the earliest)` : '';
  if (doses >= 2)
    return {
      verdict: 'surely',
      doses,
      words: `${doses} more ${one}s fit before ${when}${early}: ${clock(eachS)} each.`,
    };
  if (doses === 1) return { verdict: 'surely', doses, words: `One more ${one} fits before ${when}${early}.` };
  if (closes.s >= eachS)
    return {
      ...{ verdict: 'perhaps', doses },
      words: `One more ${one} may just fit: ${when}${early}, and it takes ${clock(eachS)}.`,
    };
  return {
    ...{ verdict: 'no', doses },
    words: `No ${one} fits any more: ${when}, and it takes ${clock(eachS)}. Wait until the window opens again.`,
  };
}

/** 3:40, seconds rounded down: nobody is promised more time than there is. */
export function clock(s: number): string {
  const whole = Math.max(0, Math.floor(s + 1e-9));
  return `${Math.floor(whole / 60)}:${String(whole % 60).padStart(2, '0')}`;
}

/** What still moves when the tap is shut, L at the temperature of the levels. */
export interface StillMoving {
  /** Runs out of the hose. */
  readonly runsOnL: number;
  /** Clings above the surface and comes down. */
  readonly comesDownL: number;
}

/**
 * Level, mm, at which to shut the tap so that the dose `litres` (below 0) is what went out in the end; null outside the vessel.
 * It is a level as readings tell it, brought to their temperature.
 */
export function stopMark(
  response: Response,
  knowledge: Knowledge,
  litres: number,
  { runsOnL, comesDownL }: StillMoving,
): number | null {
  const known = afterDose(response, knowledge, { litres: litres + runsOnL - comesDownL, uLitres: 0 });
  return known === null ? null : known.levelMm;
}
