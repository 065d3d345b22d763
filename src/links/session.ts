/** One connection from its first byte to its end: a stage of its own, and a watch for silence. */
import type { Discard, DiscardReason, Frame } from '../core/events.ts';
import type { Framing } from '../kit/driver.ts';
import type { Clock, FrameStage } from './contract.ts';
import { stageFor } from './make.ts';
import { watchPauses } from './pauses.ts';

const LEAST_PATIENCE_US = 5_000_000;
const MOST_PATIENCE_US = 60_000_000;
/** A timer later than this was held up, and bytes may be waiting behind it. */
const HELD_UP_US = 100_000;
const HEAD_BYTES = 64;

/**
 * How long a connection may be silent before it is opened anew. A board that boots slowly, and restarts whenever its
 * port is opened, must get its time in the end: each silence doubles the patience, and only a connection that has
 * talked for longer than the present patience brings it back.
 */
export class Patience {
  readonly #leastUs: number;
  #us: number;

  /** @param intervalUs expected time between two frames */
  constructor(intervalUs: number) {
    this.#leastUs = Math.max(3 * intervalUs, LEAST_PATIENCE_US);
    this.#us = this.#leastUs;
  }

  get us(): number {
    return this.#us;
  }

  wasSilent(): void {
    this.#us = Math.min(2 * this.#us, Math.max(MOST_PATIENCE_US, this.#leastUs));
  }

  /** @param ageUs how long the connection has stood when it talked */
  talked(ageUs: number): void {
    if (ageUs >= this.#us) this.#us = this.#leastUs;
  }
}

export interface SessionOptions {
  readonly instrument: string;
  /** Number of the connection. */
  readonly connection: number;
  readonly framing: Framing;
  readonly clock: Clock;
  readonly patience: Patience;
  onEvent(event: Frame | Discard): void;
  /** Called once if it is time to open the connection anew. */
  onSilent(detail: string): void;
}

export interface Session {
  push(chunk: Uint8Array): void;
  end(): void;
}

export function startSession(options: SessionOptions): Session {
  const { instrument, connection, clock, patience } = options;
  const sinceUs = clock.nowUs();
  const { framing } = options;
  let heardUs = sinceUs + ('quietUs' in framing ? framing.quietUs : 0);
  let unframedBytes = 0;
  let over = false;

  const discard = (reason: DiscardReason, count: number, bytes: Uint8Array): void => {
    if (!over) options.onEvent({ kind: 'discard', instrument, connection, reason, count, bytes });
  };
  const newStage = (): FrameStage =>
    stageFor(framing, {
      onFrame(bytes) {
        if (over) return;
        heardUs = clock.nowUs();
        unframedBytes = 0;
        patience.talked(heardUs - sinceUs);
        options.onEvent({ kind: 'frame', instrument, connection, bytes, request: 0 });
      },
      onDiscard: discard,
    });
  let stage = newStage();
  /** Bytes of an unknown time were thrown away, and with them the line that they began or went on with. */
  const throwAway = (chunk: Uint8Array): void => {
    stage.end();
    stage = newStage();
    discard('cut-tail', chunk.length, new Uint8Array(chunk.subarray(0, HEAD_BYTES)));
  };
  const pauses = watchPauses(clock);

  let cancelWatch = (): void => {};
  const watch = (dueUs: number): void => {
    cancelWatch = clock.at(dueUs, () => {
      const now = clock.nowUs();
      if (now < heardUs + patience.us) watch(heardUs + patience.us);
      else if (now > dueUs + HELD_UP_US) watch(now + HELD_UP_US);
      else silent(now);
    });
  };
  const silent = (now: number): void => {
    patience.wasSilent();
    const received =
      unframedBytes === 0
        ? 'no byte'
        : `${unframedBytes} ${unframedBytes === 1 ? 'byte' : 'bytes'}, but nothing whole,`;
    options.onSilent(`${received} for ${((now - heardUs) / 1_000_000).toFixed(1)} s`);
  };
  watch(heardUs + patience.us);

  return {
    push(chunk) {
      unframedBytes += chunk.length;
      if (pauses.justOver()) throwAway(chunk);
      else stage.push(chunk);
    },
    end() {
      cancelWatch();
      pauses.stop();
      stage.end();
      over = true; // a chunk may be half-way through the stage
    },
  };
}
