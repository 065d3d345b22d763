/**
 * The one place where the order of the stages is written:
 * frame → driver decodes → doubt → law in its context → calibration → range → channel → compensation → steadiness → gates → ready → reading.
 * Pure and deterministic: the same inputs give the same outputs, on any machine with the same numerics probe.
 */
import { act } from './actions.ts';
import { beginAlarms } from './alarms/carry-over.ts';
import { excuseSilence, watchInstruments } from './alarms/instrument-lost.ts';
import { alarmsWakeUs, restartDelays, watchLimits } from './alarms/limits.ts';
import { watchDueDates } from './calibration/due.ts';
import { forgetDoubts, takeSignals } from './channels.ts';
import type { Decoders } from './decoder.ts';
import { GATE_IDS, type Input, type InputOf, type Output } from './events.ts';
import { advance } from './job/advance.ts';
import { Ledger } from './ledger.ts';
import { JUDGE_EVERY_US, lostAfterUs, overdueAfterUs, staleAfterUs } from './limits.ts';
import { judgeReadiness, resetWindows } from './readiness.ts';
import { type InstrumentState, type State, stateAtRunStart } from './state.ts';

export interface Step {
  readonly state: State;
  readonly outputs: readonly Output[];
  /** When the core wants to be woken with a tick at the latest; null for never. */
  readonly wakeAtUs: number | null;
}

export interface Pipeline {
  /** `state` is null before the first run start. The returned state replaces it; the old one must not be used again. */
  step(state: State | null, input: Input): Step;
}

export function createPipeline(decoders: Decoders): Pipeline {
  return {
    step(before, input) {
      if (input.kind === 'run-start') {
        const state = stateAtRunStart(input);
        const ledger = new Ledger(state, input);
        // The run before ended while ready, without a word: what is told of it ends here.
        if (state.carried.ready) ledger.decide({ kind: 'ready', ready: false, shut: [...GATE_IDS], numbers: null });
        beginAlarms(state, input.tUs, ledger);
        return finish(state, ledger, input);
      }
      if (before === null) throw new Error(`input ${input.seq} (${input.kind}) stands before any run start`);
      const ledger = new Ledger(before, input);
      admit(decoders, before, input, ledger);
      pollDue(decoders, before, input, ledger);
      watchInstruments(before, input.tUs, ledger);
      watchLimits(before, input.tUs, ledger);
      return finish(before, ledger, input);
    },
  };
}

function finish(state: State, ledger: Ledger, { kind, tUs }: Input): Step {
  if (kind !== 'frame' || tUs - state.judgedUs >= JUDGE_EVERY_US) judgeReadiness(state, tUs, ledger);
  advance(state, ledger);
  return { state, outputs: ledger.outputs, wakeAtUs: nextWake(state, tUs) };
}

function admit(decoders: Decoders, state: State, input: Exclude<Input, { kind: 'run-start' }>, ledger: Ledger): void {
  switch (input.kind) {
    case 'frame':
      takeFrame(decoders, state, input, ledger);
      return;
    case 'link':
      changeLink(decoders, state, input);
      return;
    case 'discard':
      ledger.say({ kind: 'discarded', instrument: input.instrument, reason: input.reason, count: 1 });
      return;
    case 'gap':
      state.recording = !(input.cause === 'journal-behind' && input.ongoing);
      if (input.cause === 'journal-behind') excuseSilence(state, input.lostUs);
      resetWindows(state);
      restartDelays(state);
      return;
    case 'action':
      act(state, input, ledger);
      return;
    case 'wall':
      watchDueDates(state, input, ledger);
      return;
    case 'tick':
    case 'write-result':
      return;
  }
}

function changeLink(decoders: Decoders, state: State, input: InputOf<'link'>): void {
  const instrument = state.instruments[input.instrument];
  if (instrument === undefined) return;
  instrument.link = input.state;
  instrument.reason = input.reason;
  instrument.connection = input.connection;
  instrument.pollUs = null;
  if (input.state !== 'open') return;
  const { driver, options } = describe(state, input.instrument);
  const decoder = decoders[driver];
  if (decoder === undefined) return;
  instrument.driver = decoder.init(options);
  forgetDoubts(state, input.instrument);
  instrument.failed = false;
  if (decoder.poll) instrument.pollUs = input.tUs;
}

function takeFrame(decoders: Decoders, state: State, input: InputOf<'frame'>, ledger: Ledger): void {
  const instrument = state.instruments[input.instrument];
  if (instrument === undefined || instrument.link !== 'open') return;
  const { driver, options } = describe(state, input.instrument);
  const decoder = decoders[driver];
  if (decoder === undefined) return;
  let items: ReturnType<typeof decoder.decode>['items'];
  try {
    const decoded = decoder.decode(
      { bytes: input.bytes, seq: input.seq, tUs: input.tUs, request: input.request },
      instrument.driver,
      options,
    );
    instrument.driver = decoded.state;
    if (decoded.wakeAtUs !== undefined) instrument.pollUs = decoded.wakeAtUs;
    items = decoded.items;
  } catch (error) {
    items = [{ kind: 'discarded', reason: 'driver-failed' }];
    driverFailed(input.instrument, instrument, error, ledger);
  }
  const checked = decoder.checked?.(options) === true;
  const signals = [];
  for (const item of items) {
    if (item.kind === 'signal') signals.push(item);
    else ledger.say({ kind: 'discarded', instrument: input.instrument, reason: item.reason, count: 1 });
  }
  if (takeSignals(state, input.instrument, signals, checked, input, ledger)) instrument.saneUs = input.tUs;
}

function pollDue(decoders: Decoders, state: State, { tUs, seq }: Input, ledger: Ledger): void {
  for (const { id, driver, options, intervalUs } of state.bench.instruments) {
    const instrument = state.instruments[id];
    const poll = decoders[driver]?.poll;
    if (instrument === undefined || instrument.pollUs === null || poll === undefined || tUs < instrument.pollUs)
      continue;
    let polled: ReturnType<typeof poll>;
    try {
      polled = poll(tUs, instrument.driver, options, intervalUs);
    } catch (error) {
      // A driver that throws is not asked again in this connection; the others go on.
      instrument.pollUs = null;
      driverFailed(id, instrument, error, ledger);
      continue;
    }
    instrument.driver = polled.state;
    instrument.pollUs = polled.wakeAtUs;
    for (const { reason } of polled.items ?? []) ledger.say({ kind: 'discarded', instrument: id, reason, count: 1 });
    for (const bytes of polled.send) ledger.say({ kind: 'send', instrument: id, bytes, request: seq });
  }
}

/** Told once in a connection, not for every frame. */
function driverFailed(id: string, instrument: InstrumentState, error: unknown, ledger: Ledger): void {
  if (!instrument.failed) ledger.decide({ kind: 'fault', source: id, code: 'driver-failed', detail: String(error) });
  instrument.failed = true;
}

function nextWake(state: State, tUs: number): number | null {
  let wake = alarmsWakeUs(state);
  for (const { id, intervalUs } of state.bench.channels) {
    const channel = state.channels[id];
    if (channel !== undefined && !channel.stale && channel.goodUs !== null)
      wake = Math.min(wake, channel.goodUs + staleAfterUs(intervalUs) + 1);
    const overdueUs = (channel?.goodUs ?? 0) + overdueAfterUs(intervalUs) + 1;
    if (id === state.bench.measure.levelChannel && overdueUs > tUs) wake = Math.min(wake, overdueUs);
  }
  for (const { id, intervalUs } of state.bench.instruments) {
    const instrument = state.instruments[id];
    if (instrument === undefined) continue;
    if (state.recording && !instrument.lost) wake = Math.min(wake, instrument.saneUs + lostAfterUs(intervalUs));
    if (instrument.pollUs !== null) wake = Math.min(wake, instrument.pollUs);
  }
  return Number.isFinite(wake) ? wake : null;
}

function describe(state: State, instrument: string) {
  const found = state.bench.instruments.find(({ id }) => id === instrument);
  if (found === undefined) throw new Error(`instrument ${instrument} is not on this bench`);
  return found;
}
