/** From the latest values to gates, ready and, when it has just become ready, a reading. */
import { isAiry, SLOW_US, USUAL } from './air.ts';
import { influencesAt } from './context.ts';
import type { ChannelDescription } from './description.ts';
import { GATE_IDS, type Gate, type GateId, type ReadingCause } from './events.ts';
import { emptyFluidTemperature, fluidAt } from './fluid-temperature.ts';
import { type ChannelFact, type GateFacts, judgeGates, type OpenBefore } from './gates.ts';
import type { Ledger } from './ledger.ts';
import { overdueAfterUs, STATUS_EVERY_US, staleAfterUs } from './limits.ts';
import { demandOf } from './measure.ts';
import { takeReading } from './reading.ts';
import type { State } from './state.ts';
import { breakOff, type Calm, judge } from './steadiness.ts';
import type { SteadyNumbers } from './steady-numbers.ts';
import { emptyStuck, isDeaf, isUnlikely } from './stuck.ts';
import { volumeAt } from './volume.ts';

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
  const ready = gates.every((gate) => gate.open);
  if (ready !== state.ready) {
    state.ready = ready;
    state.readyUs = tUs;
    const shut = gates.filter((gate) => !gate.open).map((gate) => gate.id);
    ledger.decide({ kind: 'ready', ready, shut, numbers: calm && numbersOf(calm) });
  }
  // One calm spell yields one reading; more only when asked for. A late frame does not end the spell.
  if (SPELL.some((id) => !open[id])) state.spellRead = false;
  if (ready && !state.spellRead && calm !== null && sharpEnough(state, calm, tUs))
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

/** After a gap nothing before it may be joined to what comes. */
export function resetWindows(state: State): void {
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
  const { mmPerK } = measure.compensation;
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
    air: state.air,
    stuckUs: stuck ? tUs - state.stuck.sinceUs : null,
    atEnd: isAtEnd(state),
    doubtful: {
      count: screening.waiting,
      forUs: waiting[0] === undefined ? 0 : tUs - waiting[0].tUs,
      stepUs: screening.wildShare < USUAL ? (levelChannel(state)?.intervalUs ?? 0) : 0,
      overdue: isOverdue(state, tUs),
    },
  };
}

/** How near to the end of its range a value stands at it: in tolerances, and in steps. */
const AT_END = { tolerances: 0.25, steps: 2 };

function isAtEnd(state: State): boolean {
  const level = levelChannel(state);
  const { last } = state.steadiness;
  if (level === undefined || last === null) return false;
  const { toleranceMm } = state.bench.measure.steady;
  const near = Math.max(AT_END.tolerances * toleranceMm, AT_END.steps * level.resolution);
  return last.rawMm >= level.range.high - near || last.rawMm <= level.range.low + near;
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
  const { lastReadingId, job } = state.carried;
  const reading = takeReading(calm, {
    id: lastReadingId + 1,
    cause,
    job: job?.id ?? null,
    bench,
    fluidKPerS: state.fluid.now?.perS ?? 0,
    level: { channel: level, influences: influencesAt(state, level, calm.meanRawMm) },
    temperature: { channel: temperature, influences: influencesAt(state, temperature, calm.meanTemperatureC) },
  });
  ledger.decide({ kind: 'reading', reading });
  return true;
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
  return judge(state.steadiness, tUs, demandOf(measure, level), measure.window, isAiry(state.air));
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
  ledger.say({
    kind: 'status',
    tUs,
    ready: state.ready,
    gates,
    levelMm: calm?.levelMm ?? last?.mm ?? null,
    temperatureC:
      temperature === undefined || temperature.goodUs === null ? null : (fluidAt(state.fluid, tUs) ?? temperature.good),
    volumeL: rawMm === undefined || wallC === undefined ? null : (volumeAt(state.bench, rawMm, wallC)?.litres ?? null),
  });
}
