/** From the latest values to gates, ready and, when it has just become ready, a reading. */
import { GATE_IDS, type Gate, type ReadingCause } from './events.ts';
import { emptyForecast } from './forecast.ts';
import { type ChannelFact, judgeGates, type OpenBefore } from './gates.ts';
import type { Ledger } from './ledger.ts';
import { STATUS_EVERY_US, staleAfterUs } from './limits.ts';
import { takeReading } from './reading.ts';
import type { State } from './state.ts';
import { type Calm, emptySteadiness, judge } from './steadiness.ts';

export function judgeReadiness(state: State, tUs: number, ledger: Ledger): void {
  markStale(state, tUs);
  const calm = currentCalm(state);
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
    // One calm spell yields one reading; more only when asked for.
    if (ready && calm !== null) decideReading(state, calm, 'ready', ledger);
  }
  if (moved || tUs - state.statusUs >= STATUS_EVERY_US) sayStatus(state, tUs, gates, calm, ledger);
}

/** Takes a reading from the window as it stands; only when ready. */
export function readNow(state: State, ledger: Ledger): boolean {
  const calm = currentCalm(state);
  if (!state.ready || calm === null) return false;
  decideReading(state, calm, 'asked', ledger);
  return true;
}

/** After a gap nothing before it may be joined to what comes. */
export function resetWindows(state: State): void {
  state.steadiness = emptySteadiness();
  state.forecast = emptyForecast();
}

function decideReading(state: State, calm: Calm, cause: ReadingCause, ledger: Ledger): void {
  const { measure, channels } = state.bench;
  const level = channels.find(({ id }) => id === measure.levelChannel);
  const temperature = channels.find(({ id }) => id === measure.temperatureChannel);
  if (level === undefined || temperature === undefined) return;
  const { lastReadingId, job } = state.carried;
  const reading = takeReading(calm, {
    id: lastReadingId + 1,
    cause,
    job: job?.id ?? null,
    measure,
    level,
    temperature,
  });
  ledger.decide({ kind: 'reading', reading });
}

function currentCalm(state: State): Calm | null {
  const { measure, channels } = state.bench;
  return judge(state.steadiness, channels.find(({ id }) => id === measure.levelChannel)?.resolution ?? 0);
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
  ledger.say({
    kind: 'status',
    tUs,
    ready: state.ready,
    gates,
    levelMm: calm?.meanMm ?? last?.mm ?? null,
    temperatureC: temperature === undefined || temperature.goodUs === null ? null : temperature.good,
  });
}
