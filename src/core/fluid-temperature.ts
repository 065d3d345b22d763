/**
 * The fluid is warmer than its probe while it warms, and colder while it cools: a probe follows as dT_p/dt = (T − T_p)/τ,
 * so T = T_p + τ dT_p/dt. Value and slope come from straight lines through the latest values. Of lines over ever longer
 * times, the longest is taken whose result still agrees with all shorter ones within their uncertainties (Lepski's
 * principle; Goldenshluger and Nemirovski, Mathematical Methods of Statistics 6 (1997) 135–170), and none longer than
 * sharp enough: so noise is averaged while the temperature runs straight, and a bend is followed at once.
 */
import { join, type Moments, momentsOf, slopeOf } from './moments.ts';
import { emptyNoise, hear, type NoiseState, sampleVariance } from './noise.ts';
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
const ENOUGH_K = 0.06;
const FEWEST = 3;
/** Before a line can be laid nothing is known of it; finite, because the state is kept in the record. */
const UNKNOWN_K = 1e9;
/** Results agree while they lie within so many standard uncertainties of each other. */
const AGREE = 2.8;

export function emptyFluidTemperature(): FluidTemperatureState {
  return {
    originUs: 0,
    originC: 0,
    series: emptySeries(),
    noise: emptyNoise(),
    lagS: 0,
    stepK: 0,
    now: null,
  };
}

export function hearProbe(
  state: FluidTemperatureState,
  tUs: number,
  probeC: number,
  lagS: number,
  stepK: number,
): void {
  if (state.series.levels.length === 0) {
    state.originUs = tUs;
    state.originC = probeC;
  }
  state.lagS = lagS;
  state.stepK = stepK;
  const tS = (tUs - state.originUs) / 1e6;
  hear(state.noise, tS, probeC - state.originC, true);
  append(state.series, momentsOf(tS, probeC - state.originC), join, REACH_S);
  const step = (stepK * stepK) / 12;
  const known = sampleVariance(state.noise);
  let whole: Moments | null = null;
  let best: FluidTemperature = { tUs, c: probeC, perS: 0, u: UNKNOWN_K };
  let low = Number.NEGATIVE_INFINITY;
  let high = Number.POSITIVE_INFINITY;
  for (const block of newestFirst(state.series)) {
    whole = whole === null ? block : join(block, whole);
    const line = whole.n < FEWEST ? null : slopeOf(whole);
    if (line === null) continue;
    const noise = Math.max(known ?? line.residual * line.residual, step, 1e-12);
    const ahead = tS - whole.t + lagS;
    const c = state.originC + whole.y + line.slope * ahead;
    const u = Math.sqrt(noise * (1 / whole.n + (ahead * ahead) / whole.tt));
    low = Math.max(low, c - AGREE * u);
    high = Math.min(high, c + AGREE * u);
    if (low > high) break;
    if (u < best.u) best = { tUs, c, perS: line.slope, u };
    if (best.u <= ENOUGH_K) break;
  }
  state.now = best;
}

/** Carried on along its slope to `tUs`. */
export function fluidAt({ now }: FluidTemperatureState, tUs: number): number | null {
  return now === null ? null : now.c + (now.perS * (tUs - now.tUs)) / 1e6;
}
