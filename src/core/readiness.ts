/** From the latest values to gates, ready and, when it has just become ready, a reading. */

import { certificateIds } from './calibration/components.ts';
import { zeroDriftLine } from './calibration/zero-check.ts';
import { emptyWarming } from './compensation/learned.ts';

import type { ChannelDescription, MeasureDescription } from './description.ts';
import { GATE_IDS, type Gate, type GateId, type ReadingCause } from './events.ts';
import { emptyForecast } from './forecast.ts';
import { type ChannelFact, judgeGates, type OpenBefore } from './gates.ts';
import type { Ledger } from './ledger.ts';
import { STATUS_EVERY_US, staleAfterUs } from './limits.ts';
import { aloneBetween } from './lone-value.ts';
import { type MachineOutcome, type MachineState, machineOn, machineWords } from './machine.ts';
import { verdict } from './match/verdict.ts';
import { measured } from './measured.ts';
import { takeReading } from './reading.ts';
import { levelAt, referenceOf } from './reference.ts';
import type { State } from './state.ts';
import { type Calm, emptySteadiness, judge } from './steadiness.ts';
import { volumeAt } from './volume.ts';
import { circuitChange, tellSlope } from './warm-up.ts';

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
  if (calm !== null && open.window) tellSlope(state, calm.meanTemperatureC, calm.meanRawMm, ledger);
  else if (!open.window && calm !== null && calm.meanTemperatureC < state.bench.measure.window.lowC)
    state.slopeTold = false;
  if (calm !== null && open.spread && open.drift) noticeCircuit(state, calm, ledger);
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

/** Levels compensated for another state of the machine are not to be joined with those to come. */
export function changeMachine(
  state: State,
  machine: MachineState,
  cause: MachineOutcome['cause'],
  ledger: Ledger,
): void {
  const moved = machine.circuit !== machineOn(state.bench, state.carried.machine).circuit;
  ledger.decide({ kind: 'machine', machine, cause });
  state.circuit.baseMm = null;
  if (moved) state.steadiness = emptySteadiness();
}

function noticeCircuit(state: State, calm: Calm, ledger: Ledger): void {
  const change = circuitChange(state, calm.meanMm, calm.meanTemperatureC);
  if (change !== null)
    changeMachine(
      state,
      { ...machineOn(state.bench, state.carried.machine), circuit: change.to },
      change.cause,
      ledger,
    );
}

/** After a gap nothing before it may be joined to what comes. */
export function resetWindows(state: State): void {
  state.steadiness = emptySteadiness();
  state.zeroWindow = [];
  state.forecast = emptyForecast();
  state.warming = emptyWarming();
  state.circuit.baseMm = null;
}

function decideReading(state: State, cause: ReadingCause, ledger: Ledger): boolean {
  const { bench } = state;
  const { measure, channels } = bench;
  const level = channels.find(({ id }) => id === measure.levelChannel);
  const temperature = channels.find(({ id }) => id === measure.temperatureChannel);
  if (level === undefined || temperature === undefined) return false;
  const { lowC, highC } = measure.window;
  const counted = state.steadiness.points.filter(({ temperatureC: c }) => c >= lowC && c <= highC);
  const judged = judge({ points: counted }, harmlessMm(level, measure), measure.window);
  if (judged === null) return false;
  const lone = state.channels[level.id]?.lone;
  const alone = lone === undefined ? 0 : aloneBetween(lone, judged.first.tUs, judged.last.tUs);
  const calm = { ...judged, setAside: judged.setAside + alone };
  const { lastReadingId, job, machine } = state.carried;
  const referenceC = referenceOf(state, calm.meanTemperatureC);
  const at = levelAt(state, calm.meanRawMm, calm.meanTemperatureC, referenceC);
  if (at === null || !at.inRange) return false;
  const reading = takeReading(calm, {
    id: lastReadingId + 1,
    cause,
    job: job?.id ?? null,
    bench,
    at,
    referenceC,
    machineState: machineWords(machineOn(bench, machine)),
    certificates: certificateIds(state.calibrations, [level.id, temperature.id]),
    level: measured(state, level, calm.meanRawMm, temperature.id),
    temperature: measured(state, temperature, calm.meanTemperatureC, temperature.id),
    zeroDrift: job === null ? null : zeroDriftLine(state.carried),
  });
  const { target } = state.carried;
  ledger.decide({ kind: 'reading', reading });
  if (target !== null && measure.match !== null)
    ledger.decide({ kind: 'verdict', verdict: verdict(target, reading, measure.match) });
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
  const referenceC = referenceOf(state, wallC ?? state.bench.measure.referenceC);
  const at = rawMm === undefined || wallC === undefined ? null : levelAt(state, rawMm, wallC, referenceC);
  ledger.say({
    kind: 'status',
    tUs,
    ready: state.ready,
    gates,
    levelMm: at?.inRange ? at.mm : null,
    referenceC,
    temperatureC: temperature === undefined || temperature.goodUs === null ? null : temperature.good,
    volumeL: rawMm === undefined || wallC === undefined ? null : (volumeAt(state.bench, rawMm, wallC)?.litres ?? null),
  });
}
