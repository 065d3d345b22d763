/**
 * The state of the core: plain data, survives structuredClone and the journal's encoding, so a checkpoint is a copy of
 * it. `step` owns the state that it is given: it may change it in place, and only the returned one counts.
 */

import { type AirState, emptyAir } from './air.ts';
import { NOTHING_CARRIED } from './carried.ts';
import type { BenchDescription } from './description.ts';
import { type DoubtState, NO_DOUBT } from './doubt.ts';
import type { Carried, InputOf, LinkReason, LinkState, Quality } from './events.ts';
import { emptyFluidTemperature, type FluidTemperatureState } from './fluid-temperature.ts';
import type { Approach } from './forecast.ts';
import { ALL_SHUT, type OpenBefore } from './gates.ts';
import { emptySteadiness, type SteadinessState } from './steadiness.ts';
import { emptyStuck, type StuckState } from './stuck.ts';

export interface State {
  run: number;
  bench: BenchDescription;
  carried: Carried;
  instruments: Record<string, InstrumentState>;
  channels: Record<string, ChannelState>;
  steadiness: SteadinessState;
  fluid: FluidTemperatureState;
  approach: Approach | null;
  air: AirState;
  stuck: StuckState;
  open: OpenBefore;
  ready: boolean;
  /** When that last changed. */
  readyUs: number;
  /** The window was left just now, and the temperature is still about its border. */
  atBorder: boolean;
  /** The calm spell that is on has given its reading. */
  spellRead: boolean;
  recording: boolean;
  /** When readiness was last judged, and when the last status went out. */
  judgedUs: number;
  statusUs: number;
}

export interface InstrumentState {
  /** The driver's own. */
  driver: unknown;
  link: LinkState;
  reason: LinkReason;
  connection: number;
  /** When a frame last gave a value; the run's beginning before that. */
  saneUs: number;
  lost: boolean;
  /** The driver threw in this connection: told once, not for every frame. */
  failed: boolean;
  pollUs: number | null;
}

export interface ChannelState {
  /** Last value of any quality. */
  tUs: number | null;
  value: number;
  quality: Quality;
  /** Last good value: the one that counts. */
  goodUs: number | null;
  good: number;
  /** The latest raw signal that neither was doubted nor flagged. */
  signal: number;
  stale: boolean;
  doubt: DoubtState;
}

/** Nothing known but what the run start says; the driver states are made when a link opens. */
export function stateAtRunStart(input: InputOf<'run-start'>): State {
  const { bench, run, carried, tUs } = input;
  return {
    run,
    bench,
    carried: { ...NOTHING_CARRIED, ...carried },
    instruments: Object.fromEntries(
      bench.instruments.map(({ id }) => [
        id,
        {
          driver: null,
          link: 'opening',
          reason: 'starting',
          connection: 0,
          saneUs: tUs,
          lost: false,
          failed: false,
          pollUs: null,
        } satisfies InstrumentState,
      ]),
    ),
    channels: Object.fromEntries(
      bench.channels.map(({ id }) => [
        id,
        {
          tUs: null,
          value: 0,
          quality: 'bad',
          goodUs: null,
          good: 0,
          signal: 0,
          stale: true,
          doubt: { ...NO_DOUBT },
        } satisfies ChannelState,
      ]),
    ),
    steadiness: emptySteadiness(),
    fluid: emptyFluidTemperature(),
    approach: null,
    air: emptyAir(),
    stuck: emptyStuck(),
    open: ALL_SHUT,
    ready: false,
    readyUs: tUs,
    atBorder: false,
    spellRead: false,
    recording: true,
    judgedUs: tUs,
    statusUs: tUs,
  };
}
