/**
 * The link contract. A door knocks: it makes ONE connection and is then forgotten; the supervisor (supervise.ts) opens
 * the next one, with a new port, a new framer and a new buffer.
 *
 * Obligations of a door:
 * - `open` answers exactly once with a connection, or throws LinkFault with a reason from LINK_REASONS; it has a time
 *   limit of its own, and gives up at once with reason `stopped` when `signal` aborts. It hands nothing over before it
 *   has answered.
 * - `onBytes` gets every chunk in order, valid during the call only; `onEnd` is called exactly once, after the last
 *   chunk, however the connection ends (peer, cable, `close()`); nothing comes after it.
 * - `write` on an ended connection rejects at once; nothing written is ever delivered by a later connection.
 * - `close` never throws and may be called twice.
 */
import type { LinkReason } from '../core/events.ts';

export interface Door {
  /** For messages: "serial port /dev/…", "tcp 127.0.0.1:4001". */
  readonly name: string;
  /** It opens once only: never closed for silence, never opened anew. */
  readonly once?: boolean;
  open(handlers: ConnectionHandlers, signal?: AbortSignal): Promise<Connection>;
}

export interface ConnectionHandlers {
  onBytes(chunk: Uint8Array): void;
  onEnd(reason: LinkReason, detail: string): void;
}

export interface Connection {
  write(bytes: Uint8Array): Promise<void>;
  close(): Promise<void>;
}

export class LinkFault extends Error {
  readonly reason: LinkReason;
  constructor(reason: LinkReason, detail: string) {
    super(detail);
    this.name = 'LinkFault';
    this.reason = reason;
  }
}

/** Turns the bytes of one connection into frames and discards. A new one for every connection. */
export interface FrameStage {
  push(chunk: Uint8Array): void;
  /** The connection ended: what is left is cut, discarded and counted, never a frame. */
  end(): void;
}

/** The only reader of time and owner of timers. µs are integers of a monotonic clock since this clock was made. */
export interface Clock {
  nowUs(): number;
  utcMs(): number;
  zone(): { name: string; offsetMin: number };
  /** Calls `run` once, not before `atUs`; returns a cancel. */
  at(atUs: number, run: () => void): () => void;
  /** Calls `run` once all I/O callbacks of this event-loop turn have run (virtual: before time moves on). */
  endOfTurn(run: () => void): void;
}
