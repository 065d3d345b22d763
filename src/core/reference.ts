/** Levels at their references, from the state as it stands. */
import { type Compensated, compensate } from './compensation/compensate.ts';
import type { BenchDescription } from './description.ts';
import { staleAfterUs } from './limits.ts';
import { machineOn } from './machine.ts';
import type { State } from './state.ts';

/** Calm is judged on levels at one temperature all the time, whatever the readings are brought to. */
export function judgedAtC({ measure }: Pick<BenchDescription, 'measure'>): number {
  return measure.referenceFrom === 'bench' ? measure.referenceC : (measure.window.lowC + measure.window.highC) / 2;
}

/** The temperature that a reading taken now at `ownC` is brought to. */
export function referenceOf({ bench, carried }: State, ownC: number): number {
  if (bench.measure.referenceFrom === 'bench') return bench.measure.referenceC;
  return carried.job === null ? bench.measure.referenceC : (carried.job.referenceC ?? ownC);
}

/** Null while the circuit's own temperature is not known. */
export function levelAt(state: State, levelMm: number, temperatureC: number, referenceC: number): Compensated | null {
  const { bench, carried } = state;
  const circuitC = circuitTemperature(state);
  if (circuitC === 'unknown') return null;
  return compensate(bench, {
    levelMm,
    temperatureC,
    referenceC,
    circuitC,
    circuitState: machineOn(bench, carried.machine).circuit ?? 'none',
    learned: carried.learned,
  });
}

/** How far the level rises for each kelvin as this bench compensates it, mm/K; 0 where that cannot be told. */
export function mmPerKOf(state: State, temperatureC: number): number {
  const { last } = state.steadiness;
  const at = last === null ? null : levelAt(state, last.rawMm, temperatureC, judgedAtC(state.bench));
  return at?.inRange ? -at.perK / at.perLevel : 0;
}

/** Null where the circuit has no channel of its own. */
function circuitTemperature({ bench, channels, judgedUs }: State): number | null | 'unknown' {
  const id = bench.circuit?.temperatureChannel ?? null;
  if (id === null) return null;
  const held = channels[id];
  const intervalUs = bench.channels.find((channel) => channel.id === id)?.intervalUs ?? 0;
  if (held === undefined || held.goodUs === null || judgedUs - held.goodUs > staleAfterUs(intervalUs)) return 'unknown';
  return held.good;
}
