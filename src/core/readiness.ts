/** From the latest values to gates, ready and, when it has just become ready, a reading. */
import { zeroDriftLine } from './calibration/zero-check.ts';
import { calibrationAt, calibrationsBehind, influencesAt } from './context.ts';

import type { ChannelDescription, MeasureDescription } from './description.ts';
import { GATE_IDS, type Gate, type GateId, type ReadingCause } from './events.ts';
import { emptyForecast } from './forecast.ts';
import { type ChannelFact, judgeGates, type OpenBefore } from './gates.ts';
import type { Ledger } from './ledger.ts';
import { STATUS_EVERY_US, staleAfterUs } from './limits.ts';
import { type Measured, takeReading } from './reading.ts';
import type { State } from './state.ts';
import { type Calm, emptySteadiness, judge } from './steadiness.ts';
import { volumeAt } from './volume.ts';

/** The gates that speak of the fluid itself: when one shuts, the spell is over. */
const SPELL: readonly GateId[] = ['window', 'watched', 'spread', 'drift'];

export function judgeReadiness(state: State, tUs: number, ledger: Ledger): void {
  state.judgedUs = tUs;
  markStale(state, tUs);
  const calm = currentCalm(state, tUs);
  const gates = judgeGates(
    {
      measure: state.bench.measure,
      recording: state.recording,
      level: fact(state, state.bench.measure.levelChannel, tUs),
      temperature: fact(state, state.bench.measure.temperatureChannel, tUs),
      calm,
      forecast: state.forecast,
    },
    state.open,
  );
  const open = Object.fromEntries(gates.map((gate) => [gate.id, gate.open])) as OpenBefore;
  const moved = GATE_IDS.some((id) => open[id] !== state.open[id]);
  state.open = open;
  const ready = gates.every((gate) => gate.open);
  if (ready !== state.ready) {
    state.ready = ready;
    ledger.decide({ kind: 'ready', ready, shut: gates.filter((gate) => !gate.open).map((gate) => gate.id) });
  }
  // One calm spell yields one reading; more only when asked for. A late frame does not end the spell.
  if (SPELL.some((id) => !open[id])) state.spellRead = false;
  if (ready && !state.spellRead) state.spellRead = decideReading(state, 'ready', ledger);
  if (moved || tUs - state.statusUs >= STATUS_EVERY_US) sayStatus(state, tUs, gates, calm, ledger);
}

/** Takes a reading now; only when ready. */
export function readNow(state: State, ledger: Ledger): boolean {
  return state.ready && decideReading(state, 'asked', ledger);
}

/** After a gap nothing before it may be joined to what comes. */
export function resetWindows(state: State): void {
  state.steadiness = emptySteadiness();
  state.zeroWindow = [];
  state.forecast = emptyForecast();
}

function decideReading(state: State, cause: ReadingCause, ledger: Ledger): boolean {
  const { bench } = state;
  const { measure, channels } = bench;
  const level = channels.find(({ id }) => id === measure.levelChannel);
  const temperature = channels.find(({ id }) => id === measure.temperatureChannel);
  if (level === undefined || temperature === undefined) return false;
  const { lowC, highC } = measure.window;
  const counted = state.steadiness.points.filter(({ temperatureC: c }) => c >= lowC && c <= highC);
  const calm = judge({ points: counted }, harmlessMm(level, measure), measure.window);
  if (calm === null) return false;
  const measured = (channel: ChannelDescription, mean: number): Measured => {
    const influences = influencesAt(state, channel, mean);
    return {
      channel,
      influences,
      calibration: calibrationAt(state, channel, mean),
      behind: calibrationsBehind(state, channel, influences, temperature.id),
    };
  };
  const { lastReadingId, job } = state.carried;
  const reading = takeReading(calm, {
    id: lastReadingId + 1,
    cause,
    job: job?.id ?? null,
    bench,
    level: measured(level, calm.meanRawMm),
    temperature: measured(temperature, calm.meanTemperatureC),
    zeroDrift: job === null ? null : zeroDriftLine(state.carried),
  });
  ledger.decide({ kind: 'reading', reading });
  return true;
}

/** Half the allowed spread, or a few steps of a coarse sensor. */
function harmlessMm({ resolution }: ChannelDescription, { steady }: MeasureDescription): number {
  return Math.max(steady.spreadMm / 2, 6 * resolution);
}

/** Null once the newest compensated level is stale: what was calm then says nothing of now. */
function currentCalm(state: State, tUs: number): Calm | null {
  const level = state.bench.channels.find(({ id }) => id === state.bench.measure.levelChannel);
  const last = state.steadiness.points.at(-1);
  if (level === undefined || last === undefined || tUs - last.tUs > staleAfterUs(level.intervalUs)) return null;
  return judge(state.steadiness, harmlessMm(level, state.bench.measure), state.bench.measure.window);
}

function markStale(state: State, tUs: number): void {
  for (const { id, intervalUs } of state.bench.channels) {
    const channel = state.channels[id];
    if (channel !== undefined)
      channel.stale = channel.goodUs === null || tUs - channel.goodUs > staleAfterUs(intervalUs);
  }
}

function fact(state: State, id: string, tUs: number): ChannelFact {
  const channel = state.channels[id];
  const intervalUs = state.bench.channels.find((description) => description.id === id)?.intervalUs ?? 0;
  const goodUs = channel?.goodUs ?? null;
  return {
    id,
    ageUs: goodUs === null ? null : tUs - goodUs,
    staleAfterUs: staleAfterUs(intervalUs),
    value: channel === undefined || goodUs === null ? null : channel.good,
  };
}

function sayStatus(state: State, tUs: number, gates: readonly Gate[], calm: Calm | null, ledger: Ledger): void {
  state.statusUs = tUs;
  const temperature = state.channels[state.bench.measure.temperatureChannel];
  const last = state.steadiness.points.at(-1);
  const rawMm = calm?.meanRawMm ?? last?.rawMm;
  const wallC = calm?.meanTemperatureC ?? last?.temperatureC;
  ledger.say({
    kind: 'status',
    tUs,
    ready: state.ready,
    gates,
    levelMm: calm?.meanMm ?? last?.mm ?? null,
    temperatureC: temperature === undefined || temperature.goodUs === null ? null : temperature.good,
    volumeL: rawMm === undefined || wallC === undefined ? null : (volumeAt(state.bench, rawMm, wallC)?.litres ?? null),
  });
}
