/** From the latest values to gates, ready and, when it has just become ready, a reading. */
import { isAiry, SLOW_US, USUAL } from './air.ts';
import { certificateIds } from './calibration/components.ts';
import { zeroDriftLine } from './calibration/zero-check.ts';
import { emptyWarming } from './compensation/learned.ts';
import type { ChannelDescription } from './description.ts';
import { GATE_IDS, type Gate, type GateId, type ReadingCause } from './events.ts';
import { emptyFluidTemperature, fluidAt } from './fluid-temperature.ts';
import { type ChannelFact, type GateFacts, judgeGates, type OpenBefore } from './gates.ts';
import { readsByItself } from './job/advance.ts';
import type { Ledger } from './ledger.ts';
import { overdueAfterUs, STATUS_EVERY_US, staleAfterUs } from './limits.ts';
import { type MachineOutcome, type MachineState, machineOn, machineWords } from './machine.ts';
import { verdict } from './match/verdict.ts';
import { demandOf } from './measure.ts';
import { measured } from './measured.ts';
import { takeReading } from './reading.ts';
import { judgedAtC, levelAt, mmPerKOf, referenceOf } from './reference.ts';
import type { State } from './state.ts';
import { breakOff, type Calm, judge } from './steadiness.ts';
import type { SteadyNumbers } from './steady-numbers.ts';
import { emptyStuck, isAtItsEnd, isDeaf, isUnlikely } from './stuck.ts';
import { volumeAt } from './volume.ts';
import { circuitChange, tellSlope } from './warm-up.ts';

/** The gates that speak of the fluid itself: when one shuts, the spell is over. */
const SPELL: readonly GateId[] = ['window', 'answers', 'air', 'calm', 'settled'];

export function judgeReadiness(state: State, tUs: number, ledger: Ledger): void {
  state.judgedUs = tUs;
  markStale(state, tUs);
  const calm = currentCalm(state, tUs);
  const gates = judgeGates(factsOf(state, tUs, calm), state.open);
  const open = Object.fromEntries(gates.map((gate) => [gate.id, gate.open])) as OpenBefore;
  const moved = GATE_IDS.some((id) => open[id] !== state.open[id]);
  state.atBorder = stillAtBorder(state, open, tUs);
  state.open = open;
  if (calm !== null && open.window) tellSlope(state, calm.meanTemperatureC, calm.meanRawMm, ledger);
  else if (!open.window && calm !== null && calm.meanTemperatureC < state.bench.measure.window.lowC)
    state.slopeTold = false;
  if (calm !== null && open.calm && open.settled) noticeCircuit(state, calm, ledger);
  const ready = gates.every((gate) => gate.open);
  if (ready !== state.ready) {
    state.ready = ready;
    state.readyUs = tUs;
    const shut = gates.filter((gate) => !gate.open).map((gate) => gate.id);
    ledger.decide({ kind: 'ready', ready, shut, numbers: calm && numbersOf(calm) });
  }
  // One calm spell yields one reading; more only when asked for. A late frame does not end the spell.
  if (SPELL.some((id) => !open[id])) state.spellRead = false;
  if (ready && !state.spellRead && calm !== null && readsByItself(state) && sharpEnough(state, calm, tUs))
    state.spellRead = decideReading(state, 'ready', tUs, ledger);
  if (moved || tUs - state.statusUs >= STATUS_EVERY_US) sayStatus(state, tUs, gates, calm, ledger);
}

/** Takes a reading now; when not ready, only with a reason. */
export function readNow(state: State, anyway: boolean, tUs: number, ledger: Ledger): boolean {
  return (state.ready || anyway) && decideReading(state, anyway && !state.ready ? 'anyway' : 'asked', tUs, ledger);
}

/** Whether there is anything at all that a reading could be taken from. */
export function canRead(state: State, tUs: number): boolean {
  return currentCalm(state, tUs) !== null;
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
  if (moved) breakOff(state.steadiness);
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
  state.zeroWindow = [];
  state.warming = emptyWarming();
  state.circuit.baseMm = null;
  breakOff(state.steadiness);
  state.fluid = emptyFluidTemperature();
  state.approach = null;
  state.stuck = emptyStuck();
}

function numbersOf(calm: Calm): SteadyNumbers {
  return {
    driftMmPerMin: calm.driftMmPerMin,
    uDriftMmPerMin: calm.uDriftMmPerMin,
    noiseMm: calm.noiseMm,
    used: calm.used,
    effective: calm.effective,
    setAsideShare: calm.setAside / (calm.used + calm.setAside),
    boundMm: calm.boundMm,
  };
}

function factsOf(state: State, tUs: number, calm: Calm | null): GateFacts {
  const { measure, channels } = state.bench;
  const { now } = state.fluid;
  const { screening, waiting } = state.steadiness;
  const temperature = fact(state, measure.temperatureChannel, tUs);
  const c = fluidAt(state.fluid, tUs) ?? temperature.value ?? measure.referenceC;
  const stepMm = levelChannel(state)?.resolution ?? 0;
  const mmPerK = mmPerKOf(state, c);
  const stuck = isUnlikely(state.stuck) || isDeaf(state.stuck, c, mmPerK, stepMm, measure.steady.toleranceMm);
  return {
    tUs,
    measure,
    recording: state.recording,
    level: fact(state, measure.levelChannel, tUs),
    temperature: { ...temperature, value: temperature.value === null ? null : c },
    uTemperature: {
      noiseK: now?.u ?? 0,
      lagK: Math.abs(now?.perS ?? 0) * measure.probeLag.uS,
      probeK: channels.find(({ id }) => id === measure.temperatureChannel)?.standardUncertainty ?? 0,
    },
    atBorder: state.atBorder,
    approach: state.approach,
    calm,
    changedUs: state.steadiness.changedUs,
    air: state.air,
    stuckUs: stuck ? tUs - state.stuck.sinceUs : null,
    atEnd: isAtEnd(state, tUs),
    doubtful: {
      count: screening.waiting,
      suspicion: screening.suspicion,
      forUs: waiting[0] === undefined ? 0 : tUs - waiting[0].tUs,
      stepUs: screening.wildShare < USUAL ? (levelChannel(state)?.intervalUs ?? 0) : 0,
      overdue: isOverdue(state, tUs),
    },
  };
}

/**
 * How near to the end of its range a value stands at it, in tolerances and in steps; and how many of the latest few.
 * Noise takes some values away from it, so it counts for a while.
 */
const AT_END = { tolerances: 0.25, steps: 1, values: 3, forUs: 3e6 };

function isAtEnd(state: State, tUs: number): boolean {
  if (standsAtEnd(state)) state.stuck.endUs = tUs;
  return state.stuck.endUs !== null && tUs - state.stuck.endUs < AT_END.forUs;
}

function standsAtEnd(state: State): boolean {
  if (isAtItsEnd(state.stuck)) return true;
  const level = levelChannel(state);
  if (level === undefined) return false;
  const { toleranceMm } = state.bench.measure.steady;
  const near = Math.max(AT_END.tolerances * toleranceMm, AT_END.steps * level.resolution);
  const latest = state.steadiness.series.levels[0] ?? [];
  const high = latest.filter(({ rawMm }) => rawMm >= level.range.high - near).length;
  const low = latest.filter(({ rawMm }) => rawMm <= level.range.low + near).length;
  return Math.max(high, low) >= AT_END.values;
}

/** The next value of a slow sensor has not come, and it does not usually leave any out. */
function isOverdue(state: State, tUs: number): boolean {
  const intervalUs = levelChannel(state)?.intervalUs ?? 0;
  const goodUs = state.channels[state.bench.measure.levelChannel]?.goodUs ?? null;
  if (goodUs === null || intervalUs < SLOW_US || state.air.usuallyLost >= USUAL) return false;
  return tUs - goodUs > overdueAfterUs(intervalUs);
}

/** From leaving the window until the temperature is well inside again, or well outside. */
function stillAtBorder(state: State, open: OpenBefore, tUs: number): boolean {
  const { lowC, highC, hysteresisK } = state.bench.measure.window;
  if (open.window) return false;
  const c = fluidAt(state.fluid, tUs);
  if (c === null || c < lowC - hysteresisK || c > highC + hysteresisK) return false;
  return state.open.window || state.atBorder;
}

/** A reading waits a little for noise to average out, where that still helps. */
const READING = { share: 0.06, patienceUs: 5e6 };

function sharpEnough(state: State, calm: Calm, tUs: number): boolean {
  const { toleranceMm } = state.bench.measure.steady;
  const { noiseMm, effective, meanAboveRestMm: above, uMeanAboveRestMm: u } = calm;
  const square = (noiseMm * noiseMm) / effective + above * above + u * u;
  return tUs - state.readyUs >= READING.patienceUs || Math.sqrt(square) <= READING.share * toleranceMm;
}

function decideReading(state: State, cause: ReadingCause, tUs: number, ledger: Ledger): boolean {
  const { bench } = state;
  const { measure, channels } = bench;
  const level = levelChannel(state);
  const temperature = channels.find(({ id }) => id === measure.temperatureChannel);
  if (level === undefined || temperature === undefined) return false;
  const calm = currentCalm(state, tUs);
  if (calm === null) return false;
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
    fluidKPerS: state.fluid.now?.perS ?? 0,
  });
  const { target } = state.carried;
  ledger.decide({ kind: 'reading', reading });
  if (target !== null && measure.match !== null)
    ledger.decide({ kind: 'verdict', verdict: verdict(target, reading, measure.match) });
  return true;
}

/** A level at the temperature at which calm is judged, at that of the readings. */
function broughtTo(
  state: State,
  mm: number,
  { rawMm, wallC }: { readonly rawMm: number; readonly wallC: number },
  referenceC: number,
): number | null {
  const [from, to] = [levelAt(state, rawMm, wallC, judgedAtC(state.bench)), levelAt(state, rawMm, wallC, referenceC)];
  return from?.inRange && to?.inRange ? mm + to.mm - from.mm : null;
}

function levelChannel({ bench }: State): ChannelDescription | undefined {
  return bench.channels.find(({ id }) => id === bench.measure.levelChannel);
}

/** Null once the newest compensated level is stale: what was calm then says nothing of now. */
function currentCalm(state: State, tUs: number): Calm | null {
  const level = levelChannel(state);
  const { last } = state.steadiness;
  if (level === undefined || last === null || tUs - last.tUs > staleAfterUs(level.intervalUs)) return null;
  const { measure } = state.bench;
  return judge(state.steadiness, tUs, demandOf(measure, level), measure.window, isAiry(state.air, tUs));
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
  const { last } = state.steadiness;
  const wallC = calm?.meanTemperatureC ?? last?.temperatureC;
  const rawMm = calm?.meanRawMm ?? last?.rawMm;
  const referenceC = referenceOf(state, wallC ?? state.bench.measure.referenceC);
  const standsMm = calm?.levelMm ?? last?.mm ?? null;
  ledger.say({
    kind: 'status',
    tUs,
    ready: state.ready,
    gates,
    levelMm:
      standsMm === null || rawMm === undefined || wallC === undefined
        ? null
        : broughtTo(state, standsMm, { rawMm, wallC }, referenceC),
    referenceC,
    temperatureC:
      temperature === undefined || temperature.goodUs === null ? null : (fluidAt(state.fluid, tUs) ?? temperature.good),
    volumeL: rawMm === undefined || wallC === undefined ? null : (volumeAt(state.bench, rawMm, wallC)?.litres ?? null),
  });
}
