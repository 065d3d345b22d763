/**
 * The state of the core: plain data, survives structuredClone and the journal's encoding, so a checkpoint is a copy of
 * it. `step` owns the state that it is given: it may change it in place, and only the returned one counts.
 */

import { type AirState, emptyAir } from './air.ts';
import type { LimitWatch } from './alarms/limit-watch.ts';
import { calibratedBench } from './calibration/calibrated-bench.ts';
import type { AppliedCertificate } from './calibration/certificate.ts';
import type { ZeroWindow } from './calibration/zero-check.ts';
import { type Carried, NOTHING_CARRIED } from './carried.ts';
import { emptyWarming, type WarmingState } from './compensation/learned.ts';
import type { BenchDescription } from './description.ts';
import { type DoubtState, NO_DOUBT } from './doubt.ts';
import type { InputOf, LinkReason, LinkState, Quality } from './events.ts';
import { emptyFluidTemperature, type FluidTemperatureState } from './fluid-temperature.ts';
import type { Approach } from './forecast.ts';
import { ALL_SHUT, type OpenBefore } from './gates.ts';
import type { ProcedureDescription } from './job/procedure.ts';
import { type LoneState, nothingLone } from './lone-value.ts';
import type { CircuitWatch } from './machine.ts';
import { presentBench } from './older-shapes.ts';
import { emptySteadiness, type SteadinessState } from './steadiness.ts';
import { emptyStuck, type StuckState } from './stuck.ts';
import { SCHEMA_VERSION } from './version.ts';

export interface State {
  run: number;
  bench: BenchDescription;
  carried: Carried;
  /** What the warm-up teaches so far, and whether this one has been told. */
  warming: WarmingState;
  slopeTold: boolean;
  circuit: CircuitWatch;
  calibrations: readonly AppliedCertificate[];
  procedures: readonly ProcedureDescription[];
  /** Standard uncertainty of each channel as the bench file states it, without its calibration. */
  statedU: Record<string, number>;
  /** Certificates past their date, in their own intervals, by id. */
  overdue: Record<string, number>;
  zeroWindow: ZeroWindow;
  /** The alarms of the bench file against their limits, by id. */
  limits: Record<string, LimitWatch>;
  /** Watched channels that give values, but none that is good, with since when. */
  blindUs: Record<string, number>;
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
  /** What the alarm said last, while it lasts. */
  lostWhy: string;
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
  lone: LoneState;
}

/** Nothing known but what the run start says; the driver states are made when a link opens. */
export function stateAtRunStart(input: InputOf<'run-start'>): State {
  const { run, carried, tUs, schema, calibrations = [], procedures = [] } = input;
  const bench = schema === SCHEMA_VERSION ? input.bench : presentBench(input.bench);
  return {
    run,
    bench: calibratedBench(bench, calibrations),
    carried: { ...NOTHING_CARRIED, ...carried },
    warming: emptyWarming(),
    slopeTold: false,
    circuit: { baseMm: null },
    calibrations,
    procedures,
    statedU: Object.fromEntries(bench.channels.map(({ id, standardUncertainty }) => [id, standardUncertainty])),
    overdue: {},
    zeroWindow: [],
    limits: {},
    blindUs: {},
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
          lostWhy: '',
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
          lone: nothingLone(),
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
