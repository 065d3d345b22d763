/** Plays bytes to a driver as a link would, and asks for it where it wants to ask. */
import type { DiscardReason } from '../../core/events.ts';
import type { AnyDriver, Framing } from '../driver.ts';

/** What conformance needs from outside the kit. */
export interface Tools {
  /** A new stage for one connection: bytes in, frames and discards out. */
  readonly stage: (
    framing: Framing,
    events: {
      onFrame(bytes: Uint8Array): void;
      onDiscard(reason: DiscardReason, count: number, head: Uint8Array): void;
    },
  ) => { push(chunk: Uint8Array): void; end(): void };
  readonly clone: <T>(value: T) => T;
  /** Processor time spent so far, µs. */
  readonly cpuUs: () => number;
}

export type Signals = Readonly<Record<string, number>>;

export interface Played {
  /** The signals of each frame that gave any, in order. */
  readonly samples: readonly Signals[];
  readonly discarded: Readonly<Record<string, number>>;
  /** Bytes that the stage discarded, and the longest frame that it gave. */
  readonly discardedBytes: number;
  readonly longestFrame: number;
  /** What a driver must never do; null where it did not. */
  readonly misdeed: string | null;
}

export interface Subject {
  readonly driver: AnyDriver;
  /** As the driver's schema returned them. */
  readonly options: unknown;
  readonly tools: Tools;
}

export const INTERVAL_US = 1_000_000;
const LONGEST_WAIT_POLLS = 20;

/** @param connections the chunks of each connection: every one gets a new stage and a new state */
export function play(
  subject: Subject,
  connections: readonly (readonly Uint8Array[])[],
  between: <T>(state: T) => T = (state) => state,
): Played {
  const { driver, options, tools } = subject;
  const listener = new Listener(subject, between);
  let discardedBytes = 0;
  let longestFrame = 0;
  for (const chunks of connections) {
    listener.connect();
    const stage = tools.stage(driver.framing(options), {
      onFrame(bytes) {
        longestFrame = Math.max(longestFrame, bytes.length);
        listener.take(bytes);
      },
      onDiscard(reason, count) {
        discardedBytes += count;
        listener.count(reason);
      },
    });
    for (const chunk of chunks) stage.push(chunk);
    stage.end();
  }
  const { samples, discarded, misdeed } = listener;
  return { samples, discarded, misdeed, discardedBytes, longestFrame };
}

/** The samples of one connection that gets these bytes at once. */
export function samplesOf(subject: Subject, stream: Uint8Array): readonly Signals[] {
  return play(subject, [[stream]]).samples;
}

/** The driver's side of a link. Every frame answers a question until one is taken for an answer. */
class Listener {
  readonly samples: Signals[] = [];
  readonly discarded: Record<string, number> = {};
  misdeed: string | null = null;
  readonly #subject: Subject;
  readonly #between: <T>(state: T) => T;
  readonly #names: readonly string[];
  #state: unknown;
  #seq = 0;
  #tUs = 0;
  #wakeAtUs: number | null = null;
  #question = false;

  constructor(subject: Subject, between: <T>(state: T) => T) {
    this.#subject = subject;
    this.#between = between;
    this.#names = subject.driver.signals(subject.options);
  }

  connect(): void {
    const { driver, options } = this.#subject;
    this.#state = this.#between(driver.init(options));
    this.#wakeAtUs = driver.poll === undefined ? null : this.#tUs;
    // of lines, the answer to the first question is what the link discards as possibly cut
    while (this.#wakeAtUs !== null && !this.#poll());
    const { kind } = driver.framing(options);
    this.#question = this.#wakeAtUs === null || kind !== 'lines';
  }

  count(reason: DiscardReason): void {
    this.discarded[reason] = (this.discarded[reason] ?? 0) + 1;
  }

  take(bytes: Uint8Array): void {
    for (let polls = 0; !this.#question && this.#wakeAtUs !== null; polls++) {
      this.#question = this.#poll();
      if (polls > LONGEST_WAIT_POLLS) this.misdeed ??= 'it stops asking';
      if (this.misdeed !== null) return;
    }
    try {
      this.#decode(bytes);
    } catch (error) {
      this.misdeed ??= `decode threw: ${String(error)}`;
    }
  }

  #decode(bytes: Uint8Array): void {
    const { driver, options } = this.#subject;
    this.#tUs += 1;
    this.#seq += 1;
    const frame = { bytes, seq: this.#seq, tUs: this.#tUs, request: 0 };
    const { state, items, wakeAtUs } = driver.decode(frame, this.#state, options);
    this.#state = this.#between(state);
    const signals: Record<string, number> = {};
    for (const item of items) {
      if (item.kind === 'discarded') this.count(item.reason);
      else if (!this.#names.includes(item.signal))
        this.misdeed ??= `gave a signal "${item.signal}" that it does not name`;
      else if (!Number.isFinite(item.value)) this.misdeed ??= `gave ${item.value} for "${item.signal}"`;
      else if (Object.hasOwn(signals, item.signal)) this.misdeed ??= `gave "${item.signal}" twice for a frame`;
      else signals[item.signal] = item.value;
    }
    if (items.length === 0) this.misdeed ??= 'gave neither a signal nor a reason for a frame';
    const gave = Object.keys(signals).length > 0;
    if (gave) this.samples.push(signals);
    const answered = gave || items.some((item) => item.kind === 'discarded' && item.reason === 'unasked');
    if (answered && this.#wakeAtUs !== null) this.#question = false;
    if (wakeAtUs === undefined) return;
    this.#wakeAtUs = wakeAtUs;
    this.#question = false;
  }

  /** Goes on to the time asked for; whether a question was sent then. */
  #poll(): boolean {
    const { driver, options } = this.#subject;
    this.#tUs = Math.max(this.#tUs, this.#wakeAtUs ?? 0);
    const polled = driver.poll?.(this.#tUs, this.#state, options, INTERVAL_US);
    if (polled === undefined) return false;
    this.#state = this.#between(polled.state);
    this.#wakeAtUs = polled.wakeAtUs;
    for (const { reason } of polled.items ?? []) this.count(reason);
    return polled.send.length > 0;
  }
}
