/**
 * The line to the bench: one WebSocket at a time, opened again by itself with growing delay. A line that says nothing
 * for two seconds is lost, whatever the browser believes. Socket and clock are handed in, so that tests own the time.
 */
import type { ClientMessage, ServerMessage } from '../feed/messages.ts';

export const SILENCE_MS = 2000;
export const OPENING_MS = 5000;
export const FIRST_DELAY_MS = 300;
export const LONGEST_DELAY_MS = 3000;

export interface Line {
  /** False where it is not open. */
  send(text: string): boolean;
  close(): void;
}

export interface World {
  /** Opens a socket; after `closed` nothing more comes from it. */
  open(query: string, hears: { text(text: string): void; closed(): void }): Line;
  /** Calls once after `ms`; the result calls it off. */
  after(ms: number, then: () => void): () => void;
}

export interface Connection {
  /** False where there is no line to send on: nothing is ever kept for later. */
  send(message: ClientMessage): boolean;
  /** Tries at once instead of waiting for the next attempt (the page is looked at again, the network is back). */
  hurry(): void;
  stop(): void;
}

export interface Listener {
  /** Where to take up again, asked for each connection. */
  resume(): { readonly since: number; readonly journal: string } | null;
  message(message: ServerMessage): void;
  lost(): void;
}

/** `?since=…&journal=…`, or nothing. */
export function queryFor(resume: { readonly since: number; readonly journal: string } | null): string {
  return resume === null ? '' : `?since=${resume.since}&journal=${encodeURIComponent(resume.journal)}`;
}

/** Delay before attempt n (from 0), milliseconds: 300, 600, 1200, 2400, 3000, 3000 … */
export function delayMs(attempt: number): number {
  return Math.min(LONGEST_DELAY_MS, FIRST_DELAY_MS * 2 ** Math.min(attempt, 8));
}

export function connect(world: World, listener: Listener): Connection {
  let line: Line | null = null;
  /** A line of an earlier generation has no say any more. */
  let generation = 0;
  let attempt = 0;
  let callOff = () => {};
  let stopped = false;

  function begin(): void {
    generation += 1;
    const mine = generation;
    const current = (then: () => void) => {
      if (mine === generation && !stopped) then();
    };
    watch(OPENING_MS);
    line = world.open(queryFor(listener.resume()), {
      text: (text) => current(() => hear(text)),
      closed: () => current(lose),
    });
  }

  function hear(text: string): void {
    watch(SILENCE_MS);
    const message = parse(text);
    if (message === null) return;
    if (message.type === 'snapshot') attempt = 0;
    listener.message(message);
  }

  function lose(): void {
    callOff();
    generation += 1;
    line?.close();
    line = null;
    callOff = world.after(delayMs(attempt), begin);
    attempt += 1;
    listener.lost();
  }

  function watch(ms: number): void {
    callOff();
    callOff = world.after(ms, lose);
  }

  begin();
  return {
    send(message) {
      return line?.send(JSON.stringify(message)) ?? false;
    },
    hurry() {
      if (line !== null || stopped) return;
      callOff();
      attempt = 0;
      begin();
    },
    stop() {
      stopped = true;
      callOff();
      line?.close();
      line = null;
    },
  };
}

/** A message of the feed, or null for what is none: the page shows what it understands and drops the rest. */
export function parse(text: string): ServerMessage | null {
  try {
    const value: unknown = JSON.parse(text);
    const type = typeof value === 'object' && value !== null && 'type' in value ? value.type : undefined;
    return typeof type === 'string' ? (value as ServerMessage) : null;
  } catch {
    return null;
  }
}
