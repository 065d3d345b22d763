/** What a new good value means for the level: temperature to the fluid, level, compensated, to the steadiness. */
import { addWarming } from './compensation/learned.ts';
import type { ChannelDescription, MeasureDescription } from './description.ts';
import type { Stamp } from './events.ts';
import { fluidAt, hearProbe } from './fluid-temperature.ts';
import { approachOf } from './forecast.ts';
import { staleAfterUs } from './limits.ts';
import { normalQuantile } from './normal.ts';
import { judgedAtC, levelAt } from './reference.ts';
import type { SteadyDemand } from './settling.ts';
import type { State } from './state.ts';
import { addPoint, breakOff } from './steadiness.ts';

/** The approach is worked out at most this often. */
const APPROACH_EVERY_US = 500_000;

export function measure(state: State, channel: string, value: number, { tUs, seq }: Stamp): void {
  const { measure, channels } = state.bench;
  const temperature = state.channels[measure.temperatureChannel];
  const described = channels.find(({ id }) => id === channel);
  if (temperature === undefined || described === undefined) return;
  if (channel === measure.temperatureChannel) {
    hearProbe(state.fluid, tUs, value, measure.probeLag.s, described.resolution);
    if (state.approach === null || tUs - state.approach.tUs >= APPROACH_EVERY_US)
      state.approach = approachOf(state.fluid);
  }
  if (channel !== measure.levelChannel || temperature.stale) return;
  const temperatureC = fluidAt(state.fluid, tUs) ?? temperature.good;
  addWarming(state.warming, temperatureC, value);
  const at = levelAt(state, value, temperatureC, judgedAtC(state.bench));
  if (at === null || !at.inRange) return;
  const { last } = state.steadiness;
  if (last !== null && tUs - last.tUs > staleAfterUs(described.intervalUs)) breakOff(state.steadiness);
  addPoint(state.steadiness, { tUs, seq, mm: at.mm, rawMm: value, temperatureC }, demandOf(measure, described));
}

/** What is asked of the level. */
export function demandOf({ steady }: MeasureDescription, { resolution }: ChannelDescription): SteadyDemand {
  return {
    toleranceMm: steady.toleranceMm,
    // Both sides are asked about, one at a time.
    sigmas: normalQuantile(steady.confidence),
    settlingS: steady.settlingUs / 1e6,
    longestS: steady.longestUs / 1e6,
    resolutionMm: resolution,
  };
}
