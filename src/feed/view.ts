/**
 * What the bench looks like to the eye: folds the outputs of the core into the snapshot and live messages. Durable
 * things (last reading, job, alarms, revision) change only when announced; the rest is the latest value.
 */

import { brokenHolds } from '../core/alarms/on-watch.ts';
import { type Carried, carry, NOTHING_CARRIED } from '../core/carried.ts';
import { type BenchDescription, INSIDE_UNITS } from '../core/description.ts';
import type { DiscardReason, Gate, Input, Outcome, Output, StandingAlarm } from '../core/events.ts';
import type { ProcedureDescription } from '../core/job/procedure.ts';
import { jobView } from '../core/job/view.ts';
import { staleAfterUs } from '../core/limits.ts';
import { machineOn } from '../core/machine.ts';
import { targetAsked } from '../core/match/verdict.ts';
import { LINK_WORDS } from '../errors.ts';
import type { DatedOutcome } from '../journal/contract.ts';
import { Arrivals } from './arrivals.ts';
import type { JobMessage, Live, Snapshot } from './messages.ts';

/** Outcomes after which the open job looks otherwise. */
const MOVES_JOB: readonly Outcome['kind'][] = [
  ...(['job', 'step', 'ticked', 'entered', 'amount', 'advice', 'balance', 'engine'] as const),
  ...(['reading', 'verdict', 'target', 'alarm'] as const),
];

interface ChannelView {
  value: number;
  quality: 'good' | 'suspect' | 'bad';
  reason: string | null;
  tUs: number;
}

interface InstrumentView {
  state: 'opening' | 'open' | 'closed';
  reason: keyof typeof LINK_WORDS;
  detail: string;
  connection: number;
  frames: number;
  readonly arrivals: Arrivals;
  lastFrameUs: number | null;
  discarded: Partial<Record<DiscardReason, number>>;
}

export class View {
  readonly #bench: BenchDescription;
  readonly #channels = new Map<string, ChannelView>();
  readonly #instruments = new Map<string, InstrumentView>();
  /** When the events were that alarms stand since. */
  readonly #sinceUtcMs = new Map<number, number>();
  #announced: Carried;
  #lastReading: Snapshot['lastReading'] = null;
  #gates: readonly Gate[] = [];
  #ready = false;
  #levelMm: number | null = null;
  #referenceC: number;
  #temperatureC: number | null = null;
  #volumeL: number | null = null;
  #jobEvent: number;
  readonly #procedures: readonly ProcedureDescription[];
  recording = true;

  /** `newest` is the last reading of an earlier run, where there is one; `since` what its alarms stand since. */
  constructor(
    bench: BenchDescription,
    procedures: readonly ProcedureDescription[],
    carried: Carried,
    newest: DatedOutcome | null,
    since: readonly DatedOutcome[] = [],
  ) {
    this.#bench = bench;
    this.#procedures = procedures;
    this.#jobEvent = carried.lastEvent;
    this.#announced = { ...NOTHING_CARRIED, ...carried, machine: machineOn(bench, carried.machine) };
    this.#referenceC = bench.measure.referenceC;
    if (newest !== null) this.#keepReading(newest);
    for (const { utcMs, outcome } of since) this.#sinceUtcMs.set(outcome.event, utcMs);
    for (const { id, intervalUs } of bench.instruments)
      this.#instruments.set(id, {
        state: 'opening',
        reason: 'starting',
        detail: '',
        connection: 0,
        frames: 0,
        arrivals: new Arrivals(intervalUs),
        lastFrameUs: null,
        discarded: {},
      });
  }

  get lastEvent(): number {
    return this.#announced.lastEvent;
  }

  get revision(): number {
    return this.#announced.revision;
  }

  takeInput(input: Input): void {
    if (input.kind === 'frame') {
      const instrument = this.#instruments.get(input.instrument);
      if (instrument === undefined) return;
      instrument.frames++;
      instrument.arrivals.take(input.tUs);
      instrument.lastFrameUs = input.tUs;
    } else if (input.kind === 'link') {
      const instrument = this.#instruments.get(input.instrument);
      if (instrument !== undefined)
        Object.assign(instrument, {
          state: input.state,
          reason: input.reason,
          detail: input.detail,
          connection: input.connection,
        });
    }
  }

  takeOutput(output: Output): void {
    switch (output.kind) {
      case 'sample':
        this.#channels.set(output.channel, output);
        return;
      case 'discarded': {
        const discarded = this.#instruments.get(output.instrument)?.discarded;
        if (discarded) discarded[output.reason] = (discarded[output.reason] ?? 0) + output.count;
        return;
      }
      case 'status':
        this.#gates = output.gates;
        this.#ready = output.ready;
        this.#levelMm = output.levelMm;
        this.#referenceC = output.referenceC;
        this.#temperatureC = output.temperatureC;
        this.#volumeL = output.volumeL;
        return;
      case 'send':
      case 'outcome':
        return;
    }
  }

  /** Instruments that send more than can be kept, with words on it. */
  floods(tUs: number): readonly { readonly instrument: string; readonly words: string }[] {
    return [...this.#instruments].flatMap(([instrument, { arrivals }]) => {
      const words = arrivals.flood(tUs);
      return words === null ? [] : [{ instrument, words }];
    });
  }

  /** An outcome is on disk: from now on it may be told. */
  takeDurable({ utcMs, outcome }: DatedOutcome): void {
    this.#announced = carry(this.#announced, outcome);
    if (MOVES_JOB.includes(outcome.kind)) this.#jobEvent = outcome.event;
    this.#keepReading({ utcMs, outcome });
    if (outcome.kind !== 'alarm') return;
    this.#sinceUtcMs.set(outcome.event, utcMs);
    const standing = new Set(this.#announced.alarms.map(({ sinceEvent }) => sinceEvent));
    for (const event of this.#sinceUtcMs.keys()) if (!standing.has(event)) this.#sinceUtcMs.delete(event);
  }

  live(tUs: number, utcMs: number): Live {
    return {
      utc: new Date(utcMs).toISOString(),
      tUs,
      ready: this.#ready,
      gates: copy(this.#gates),
      levelMm: this.#levelMm,
      referenceC: this.#referenceC,
      temperatureC: this.#temperatureC,
      volumeL: this.#volumeL,
      channels: Object.fromEntries(
        [...this.#channels].map(([id, channel]) => [id, this.#channelValue(id, channel, tUs)]),
      ),
      instruments: Object.fromEntries([...this.#instruments].map(([id, one]) => [id, health(one, tUs)])),
      recording: this.recording,
    };
  }

  snapshot(tUs: number, utcMs: number): Snapshot {
    const { name, channels, measure, machineStates } = this.#bench;
    return {
      type: 'snapshot',
      event: this.#announced.lastEvent,
      revision: this.#announced.revision,
      bench: {
        name,
        channels: channels.map(({ id, instrument, quantity, intervalUs }) => ({
          id,
          instrument,
          quantity,
          unit: INSIDE_UNITS[quantity],
          intervalS: intervalUs / 1e6,
        })),
        levelChannel: measure.levelChannel,
        temperatureChannel: measure.temperatureChannel,
        windowLowC: measure.window.lowC,
        windowHighC: measure.window.highC,
        referenceC: measure.referenceC,
        machineStates: [...machineStates],
        matchToleranceMm: measure.match?.toleranceMm ?? null,
        toleranceMm: measure.steady.toleranceMm,
        wavesMm: measure.steady.wavesMm,
        procedures: this.#procedures.map(offered),
      },
      live: this.live(tUs, utcMs),
      lastReading: this.#lastReading,
      ...this.#job(),
      machineTypes: Object.keys(this.#announced.machineTypes),
      lastStart: { ...this.#announced.lastStart },
      machine: { ...this.#announced.machine },
      target: this.#announced.target && targetAsked(this.#announced.target),
      verdict: copy(this.#announced.lastVerdict),
      alarms: this.#announced.alarms.map((alarm) => this.#standing(alarm, tUs, utcMs)),
    };
  }

  #standing(
    { stands, shelved, sinceEvent, ...alarm }: StandingAlarm,
    tUs: number,
    utcMs: number,
  ): Snapshot['alarms'][number] {
    return {
      ...alarm,
      state: stands,
      utc: new Date(this.#sinceUtcMs.get(sinceEvent) ?? utcMs).toISOString(),
      shelved: shelved && {
        by: shelved.by,
        reason: shelved.reason,
        // The shelf counts the run's own time; the wall clock is for people.
        until: new Date(utcMs + Math.round((shelved.untilUs - tUs) / 1000)).toISOString(),
      },
    };
  }

  /** The open job after the newest event that moved it. */
  job(): JobMessage {
    return { type: 'job', event: this.#jobEvent, ...this.#job() };
  }

  #job(): Pick<JobMessage, 'job' | 'progress'> {
    const { job, procedure, progress, lastReading } = this.#announced;
    const levelC = job?.referenceC ?? this.#bench.measure.referenceC;
    const gateOpen = (id: string) => this.#gates.find((gate) => gate.id === id)?.open ?? false;
    const follows = job !== null && procedure !== null && progress !== null;
    return {
      job: copy(job),
      progress: follows
        ? copy(
            jobView({
              bench: this.#bench,
              procedure,
              progress,
              levelC,
              gateOpen,
              broken: brokenHolds({ carried: this.#announced }),
              lastReading,
            }),
          )
        : null,
    };
  }

  #keepReading({ utcMs, outcome }: DatedOutcome): void {
    if (outcome.kind !== 'reading') return;
    this.#lastReading = {
      event: outcome.event,
      utc: new Date(utcMs).toISOString(),
      reading: copy(outcome.reading),
    };
  }

  #channelValue(id: string, { value, quality, reason, tUs }: ChannelView, nowUs: number): Live['channels'][string] {
    const intervalUs = this.#bench.channels.find((channel) => channel.id === id)?.intervalUs ?? 0;
    const ageUs = Math.max(0, nowUs - tUs);
    return { value, quality, reason, ageS: ageUs / 1e6, stale: ageUs > staleAfterUs(intervalUs) };
  }
}

function offered({ id, title, version, purpose, result, cautions, fields }: ProcedureDescription) {
  return copy({ id, title, version, purpose, result, cautions, fields });
}

function health(instrument: InstrumentView, nowUs: number): Live['instruments'][string] {
  const { state, reason, detail, connection, frames, lastFrameUs, discarded } = instrument;
  const row = LINK_WORDS[reason];
  const flood = state === 'open' ? instrument.arrivals.flood(nowUs) : null;
  const trouble = `${row.words} ${row.todo}${detail === '' ? '' : ` (${detail})`}`;
  const words = state === 'open' ? (flood ?? row.words) : trouble;
  const silentS = lastFrameUs === null ? null : Math.max(0, nowUs - lastFrameUs) / 1e6;
  return { state, reason, words, connection, frames, floods: flood !== null, silentS, discarded: { ...discarded } };
}

/** A mutable deep copy, as the message types want it. */
function copy<T>(value: T): Mutable<T> {
  return structuredClone(value) as Mutable<T>;
}

type Mutable<T> = T extends readonly (infer Each)[]
  ? Mutable<Each>[]
  : T extends object
    ? { -readonly [Key in keyof T]: Mutable<T[Key]> }
    : T;
