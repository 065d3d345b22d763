/** A channel at one of its values, with everything that the value leans on. */
import { calibrationAt, calibrationsBehind, influencesAt } from './context.ts';
import type { ChannelDescription } from './description.ts';
import type { Measured } from './reading.ts';
import type { State } from './state.ts';

/** `temperatureId` has lines of its own in the budget, wherever else it comes in. */
export function measured(state: State, channel: ChannelDescription, mean: number, temperatureId: string): Measured {
  const influences = influencesAt(state, channel, mean);
  return {
    channel,
    influences,
    calibration: calibrationAt(state, channel, mean),
    behind: calibrationsBehind(state, channel, influences, temperatureId),
  };
}
