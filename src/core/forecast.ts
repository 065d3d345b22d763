/**
 * When will the temperature be in its window? From the last half minute of temperatures, as an approach to an unknown
 * end: the slopes of the two halves give the time constant. A rough first form with an honest interval.
 */
import type { TimeToGo } from './events.ts';
import { fitLine } from './statistics.ts';

export interface ForecastState {
  tS: number[];
  c: number[];
}

const REACH_S = 30;
const FEWEST = 8;

export function emptyForecast(): ForecastState {
  return { tS: [], c: [] };
}

export function addTemperature(state: ForecastState, tUs: number, c: number): void {
  const tS = tUs / 1e6;
  state.tS.push(tS);
  state.c.push(c);
  while (state.tS.length > 2 && tS - (state.tS[0] as number) > REACH_S) {
    state.tS.shift();
    state.c.shift();
  }
}

/** Time until the temperature reaches `targetC`; `never` when it moves away or will stop short; null when not known. */
export function timeTo(state: ForecastState, targetC: number): TimeToGo | 'never' | null {
  const n = state.tS.length;
  if (n < FEWEST) return null;
  const newestS = state.tS[n - 1] as number;
  const whole = fitLine(state.tS, state.c);
  const late = fitLine(state.tS.slice(n >> 1), state.c.slice(n >> 1));
  const early = fitLine(state.tS.slice(0, n >> 1), state.c.slice(0, n >> 1));
  if (whole === null || late === null || early === null) return null;
  const spanS = newestS - (state.tS[0] as number);
  if (!(spanS > 2)) return null;
  const nowC = late.mean + (late.slope * spanS) / 4;
  const gapK = targetC - nowC;
  // A slope that cannot be told from noise forecasts nothing.
  if (Math.abs(whole.slope) < 3 * whole.uSlope) return null;
  if (gapK * late.slope <= 0) return 'never';
  const linearS = gapK / late.slope;
  const slack = 2 * (late.uSlope / Math.abs(late.slope));
  const lowS = linearS * Math.max(0, 1 - slack);
  const ratio = early.slope / late.slope;
  // Straight as far as can be told: the line, with its own slack.
  if (!(ratio > 1.02)) return { s: linearS, lowS, highS: linearS * (1 + slack) * 1.25 };
  const tauS = spanS / 2 / Math.log(ratio);
  const slopeNow = late.slope * Math.exp(-spanS / 4 / tauS);
  const share = gapK / (slopeNow * tauS);
  if (share >= 1) return Math.abs(gapK) < 1 ? null : 'never';
  const s = -tauS * Math.log(1 - share);
  return { s, lowS: Math.min(lowS, s), highS: share > 0.8 ? null : s * (1 + slack) * 1.5 };
}
