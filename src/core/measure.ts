/** What a new good value means for the level: temperature to the forecast, level, compensated, to the steadiness. */
import { addWarming } from './compensation/learned.ts';
import type { Stamp } from './events.ts';
import { addTemperature } from './forecast.ts';
import { staleAfterUs } from './limits.ts';
import { judgedAtC, levelAt } from './reference.ts';
import type { State } from './state.ts';
import { addPoint } from './steadiness.ts';

export function measure(state: State, channel: string, { tUs, seq }: Stamp): void {
  const { measure, channels } = state.bench;
  const temperature = state.channels[measure.temperatureChannel];
  const level = state.channels[measure.levelChannel];
  if (temperature === undefined || level === undefined) return;
  if (channel === measure.temperatureChannel) addTemperature(state.forecast, tUs, temperature.good);
  if (channel !== measure.levelChannel || temperature.stale) return;
  addWarming(state.warming, temperature.good, level.good);
  const at = levelAt(state, level.good, temperature.good, judgedAtC(state.bench));
  if (at === null || !at.inRange) return;
  const intervalUs = channels.find(({ id }) => id === channel)?.intervalUs ?? 0;
  const last = state.steadiness.points.at(-1);
  if (last !== undefined && tUs - last.tUs > staleAfterUs(intervalUs)) state.steadiness.points = [];
  addPoint(
    state.steadiness,
    { tUs, seq, mm: at.mm, rawMm: level.good, temperatureC: temperature.good },
    measure.steady.overUs,
  );
}
