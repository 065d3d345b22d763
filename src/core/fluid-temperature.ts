/**
 * The fluid is warmer than its probe while it warms, and colder while it cools: a probe follows as dT_p/dt = (T − T_p)/τ,
 * so T = T_p + τ dT_p/dt. Slope and value come from the shortest window that is sharp enough.
 */
import { join, type Moments, momentsOf, slopeOf } from './moments.ts';
import { emptyNoise, hear, type NoiseState } from './noise.ts';
import { append, emptySeries, newestFirst, type Series } from './series.ts';

export interface FluidTemperatureState {
  originUs: number;
  originC: number;
  series: Series<Moments>;
  noise: NoiseState;
  lagS: number;
  stepK: number;
  now: FluidTemperature | null;
}

export interface FluidTemperature {
  readonly tUs: number;
  /** Of the fluid, lag taken into account. */
  readonly c: number;
  readonly perS: number;
  /** Standard uncertainty of `c` from noise and resolution alone. */
  readonly u: number;
}

/** For the forecast; the slope of now is had from far less. */
const REACH_S = 600;
/** Sharper than this is not asked for. */
const ENOUGH_K = 0.1;
const FEWEST = 4;

export function emptyFluidTemperature(): FluidTemperatureState {
  return { originUs: 0, originC: 0, series: emptySeries(), noise: emptyNoise(), lagS: 0, stepK: 0, now: null };
}

export function hearProbe(state: FluidTemperatureState, tUs: number, probeC: number, lagS: number, stepK: number): void {
  if (state.series.levels.length === 0) {
    state.originUs = tUs;
    state.originC = probeC;
  }
  state.lagS = lagS;
  state.stepK = stepK;
  const tS = (tUs - state.originUs) / 1e6;
  hear(state.noise, tS, probeC - state.originC);
  append(state.series, momentsOf(tS, probeC - state.originC), join, REACH_S);
  let whole: Moments | null = null;
  let best: FluidTemperature = { tUs, c: probeC, perS: 0, u: Number.POSITIVE_INFINITY };
  for (const block of newestFirst(state.series)) {
    whole = whole === null ? block : join(block, whole);
    const line = whole.n < FEWEST ? null : slopeOf(whole);
    if (line === null) continue;
    const spanS = tS - whole.fromT;
    // A slope seen through steps is known to about a step over the span.
    const white = line.u * line.u + (stepK * stepK) / (3 * spanS * spanS);
    const ahead = tS - whole.t + lagS;
    const u = Math.sqrt(
      ahead * ahead * white + (line.residual * line.residual) / whole.n + (stepK * stepK) / 12 / Math.min(whole.n, 4),
    );
    // A line through a curve that bends is worse than it looks: only a clear gain is worth a longer window.
    if (u < 0.8 * best.u) best = { tUs, c: state.originC + whole.y + line.slope * ahead, perS: line.slope, u };
    if (best.u <= ENOUGH_K) break;
  }
  state.now = best;
}

/** Carried on along its slope to `tUs`. */
export function fluidAt({ now }: FluidTemperatureState, tUs: number): number | null {
  return now === null ? null : now.c + (now.perS * (tUs - now.tUs)) / 1e6;
}
