/** From a decoded signal to a value of a channel: doubt, law, calibration, range. What is good goes on to be measured. */

import { hearEcho } from './air.ts';
import { corrected, inForce } from './calibration/in-force.ts';
import { noteValue } from './calibration/zero-check.ts';
import { surroundings } from './context.ts';
import type { Decoded } from './decoder.ts';
import type { ChannelDescription } from './description.ts';
import { doubt } from './doubt.ts';
import type { QualityReason, Stamp } from './events.ts';
import { fluidAt } from './fluid-temperature.ts';
import type { LawFlag } from './laws/law.ts';
import { lawOf } from './laws/law-of.ts';
import type { Ledger } from './ledger.ts';
import { staleAfterUs } from './limits.ts';
import { nothingLone, standsAlone } from './lone-value.ts';
import { measure } from './measure.ts';
import type { ChannelState, State } from './state.ts';
import { hearRepeat } from './stuck.ts';

type Signal = Extract<Decoded, { kind: 'signal' }>;

/** The signals of one frame, which carried a check value or not. Returns whether any channel took one. */
export function takeSignals(
  state: State,
  instrument: string,
  signals: readonly Signal[],
  checked: boolean,
  stamp: Stamp,
  ledger: Ledger,
): boolean {
  const channels = state.bench.channels.filter((channel) => channel.instrument === instrument);
  // The strength of an echo is of the same frame as its value, wherever in the line it stands.
  for (const { id, echo } of channels) {
    const strength = signals.find(({ signal }) => signal === echo?.strengthSignal);
    const held = state.channels[id];
    if (strength !== undefined && held !== undefined) held.doubt.strength = strength.value;
  }
  let taken = false;
  for (const { signal, value, suspect } of signals) {
    for (const channel of channels) {
      if (channel.signal !== signal) continue;
      takeValue(state, channel, value, suspect ?? null, checked, stamp, ledger);
      taken = true;
    }
  }
  return taken;
}

/** A value that a person read from another display, already in the channel's inside unit. */
export function takeTyped(
  state: State,
  channel: ChannelDescription,
  value: number,
  stamp: Stamp,
  ledger: Ledger,
): void {
  keep(state, channel, value, null, stamp, ledger);
}

/** A new connection may be another device: nothing remembered of the old one counts. */
export function forgetDoubts(state: State, instrument: string): void {
  for (const { id, instrument: of } of state.bench.channels) {
    const held = state.channels[id];
    if (of === instrument && held !== undefined) {
      held.doubt = { signal: null, strength: null };
      held.lone = nothingLone();
    }
  }
}

function takeValue(
  state: State,
  channel: ChannelDescription,
  signal: number,
  reported: QualityReason | null,
  checked: boolean,
  stamp: Stamp,
  ledger: Ledger,
): void {
  const held = state.channels[channel.id];
  if (held === undefined) return;
  const reason = reported ?? doubt(channel, signal, held.doubt);
  const isLevel = channel.id === state.bench.measure.levelChannel;
  if (isLevel) hearRepeat(state.stuck, stamp.tUs, signal, fluidAt(state.fluid, stamp.tUs) ?? 0);
  const { values, known } = surroundings(state, channel, stamp.tUs);
  const { value, flag: raised } = lawOf(channel.law).at(signal, values);
  // A property that its source does not cover is no more to be trusted than one that is missing.
  const covered = Object.values(known).every((one) => one.covered);
  const flag = raised === null ? (covered ? null : 'context-out-of-range') : reasonOf(raised);
  if (reason === null && flag === null) held.signal = signal;
  const lone = reason === null && flag === null ? alone(held, channel, value, stamp.tUs) : null;
  // A false echo nearer by half must not make second echoes of all the true ones after it.
  if (reason === null && lone === null) held.doubt.signal = signal;
  keep(state, channel, value, reason ?? flag ?? (checked ? null : lone), stamp, ledger);
}

/** After a silence there is no neighbour to be compared with. */
function alone(held: ChannelState, channel: ChannelDescription, value: number, tUs: number): QualityReason | null {
  if (!Number.isFinite(value) || !within(channel, value)) return null;
  if (held.goodUs !== null && tUs - held.goodUs > staleAfterUs(channel.intervalUs)) held.lone = nothingLone();
  return standsAlone(held.lone, value, channel.resolution) ? 'outlier' : null;
}

function within({ range }: ChannelDescription, value: number): boolean {
  return value >= range.low && value <= range.high;
}

function reasonOf(flag: LawFlag): QualityReason {
  return flag === 'context-missing' ? 'no-context' : flag;
}

/** Not even a doubtful value of the quantity: what is shown is no more than the end of a range. */
const BAD: ReadonlySet<QualityReason> = new Set<QualityReason>([
  'out-of-range',
  'echo-lost',
  'broken-loop',
  'failure-current',
  'open-circuit',
  'short-circuit',
  'ambiguous',
  'no-context',
  'context-out-of-range',
]);

function keep(
  state: State,
  channel: ChannelDescription,
  uncorrected: number,
  doubted: QualityReason | null,
  { tUs, seq }: Stamp,
  ledger: Ledger,
): void {
  const held = state.channels[channel.id];
  const { value } = corrected(inForce(state.calibrations, channel.id).correction, uncorrected);
  if (held === undefined || !Number.isFinite(value)) return;
  const reason = doubted ?? (within(channel, value) ? null : 'out-of-range');
  const quality = reason === null ? 'good' : BAD.has(reason) ? 'bad' : 'suspect';
  held.tUs = tUs;
  held.value = value;
  held.quality = quality;
  ledger.say({ kind: 'sample', channel: channel.id, tUs, seq, value, quality, reason });
  const isLevel = channel.id === state.bench.measure.levelChannel;
  const heard = quality === 'good' || reason === 'outlier';
  if (isLevel) hearEcho(state.air, tUs, heard, held.doubt.strength, channel.intervalUs);
  // A level that stands alone may be the beginning of a move: the screening of the level decides.
  if (isLevel && reason === 'outlier') measure(state, channel.id, value, { tUs, seq });
  if (quality !== 'good') return;
  held.goodUs = tUs;
  held.good = value;
  held.stale = false;
  if (isLevel) noteValue(state.zeroWindow, tUs, value);
  measure(state, channel.id, value, { tUs, seq });
}
