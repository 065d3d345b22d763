/**
 * Keeps one instrument connected: opens its door, opens it anew after every loss and after long silence, and tells what
 * happens as inputs without their stamp. Nothing survives from one connection to the next but their count.
 */
import type { Discard, Frame, LinkChange, LinkReason, LinkState, WriteResult } from '../core/events.ts';
import type { Framing } from '../kit/driver.ts';
import { type Clock, type Connection, type ConnectionHandlers, type Door, LinkFault } from './contract.ts';
import { messageOf } from './door-parts.ts';
import { Patience, type Session, startSession } from './session.ts';

export type LinkEvent = LinkChange | Frame | Discard | WriteResult;

export interface SuperviseOptions {
  readonly door: Door;
  readonly instrument: string;
  readonly framing: Framing;
  readonly clock: Clock;
  /** Expected time between two frames; three without one (and at least 5 s), and the connection is opened anew. */
  readonly intervalUs: number;
  /** Must not throw. Never called again once `stop` has settled. */
  onEvent(event: LinkEvent): void;
}

export interface Supervised {
  /** Writes to the present connection, or to none; the answer is a `write-result` event, never before this returns. */
  write(bytes: Uint8Array, request: number): void;
  /**
   * Closes the present connection for this reason and opens the next one soon; where none stands, looks again at once.
   * Nothing for a door that opens once only.
   */
  reopen(reason: LinkReason, detail: string): void;
  /** Closes the connection, or gives up opening one. Settles when it is closed; no event comes after that. */
  stop(): Promise<void>;
}

/** Wait before opening again; doubles up to the second figure, which leaves a replug its data within 3 s. */
const FIRST_RETRY_US = 250_000;
const LAST_RETRY_US = 2_000_000;

export function supervise(options: SuperviseOptions): Supervised {
  const { door, instrument, framing, clock } = options;
  const patience = new Patience(options.intervalUs);
  const abort = new AbortController();
  const writes = new Set<Promise<void>>();
  let connections = 0;
  let told: { readonly state: LinkState; readonly reason: LinkReason } | null = null;
  let present: Connection | null = null;
  /** Why we close the present connection ourselves; null while we do not. */
  let closing: { readonly reason: LinkReason; readonly detail: string } | null = null;
  let retryUs = FIRST_RETRY_US;
  let cancelRetry = (): void => {};
  let waiting = false;
  let knocking: Promise<void> = Promise.resolve();
  let lastFault: LinkReason | null = null;
  let ending = false;
  let stopped: Promise<void> | null = null;
  let silenced = false;

  const emit = (event: LinkEvent): void => {
    if (!silenced) options.onEvent(event);
  };

  /** Each change once. Once unplugged, "not found" is no news. */
  const tell = (state: LinkState, reason: LinkReason, detail: string): void => {
    if (told?.state === state && (told.reason === reason || (told.reason === 'unplugged' && reason === 'not-found'))) {
      return;
    }
    told = { state, reason };
    emit({ kind: 'link', instrument, state, reason, connection: connections, detail });
  };

  const retryLater = (): void => {
    if (ending || door.once === true) return;
    waiting = true;
    cancelRetry = clock.at(clock.nowUs() + retryUs, knockNow);
    retryUs = Math.min(2 * retryUs, LAST_RETRY_US);
  };

  const knockNow = (): void => {
    waiting = false;
    knocking = knock();
  };

  const lost = ({ reason, detail }: { readonly reason: LinkReason; readonly detail: string }): void => {
    tell('closed', reason, detail);
    retryLater();
  };

  const failed = (error: unknown): void => {
    if (ending) return;
    const reason = error instanceof LinkFault ? error.reason : 'io-error';
    // another reason than last time: something is happening there, so look again soon
    if (lastFault !== null && lastFault !== reason) retryUs = FIRST_RETRY_US;
    lastFault = reason;
    lost({ reason, detail: messageOf(error) });
  };

  const knock = async (): Promise<void> => {
    let session = null as Session | null;
    let early = null as LinkFault | null;

    const begin = (connection: Connection): void => {
      present = connection;
      connections += 1;
      closing = null;
      lastFault = null;
      session = startSession({
        instrument,
        connection: connections,
        framing,
        clock,
        patience,
        onEvent(event) {
          if (event.kind === 'frame') retryUs = FIRST_RETRY_US;
          emit(event);
        },
        onSilent(detail) {
          if (door.once !== true) closeFor('mute', detail);
        },
      });
      tell('open', 'connected', door.name);
    };
    const handlers: ConnectionHandlers = {
      onBytes: (chunk) => session?.push(chunk),
      onEnd(reason, detail) {
        present = null;
        session?.end();
        if (session === null) early = new LinkFault(reason, detail);
        else lost(closing ?? { reason, detail });
      },
    };

    try {
      const connection = await door.open(handlers, abort.signal);
      if (ending) return await connection.close();
      if (early !== null) throw early;
      begin(connection);
    } catch (error) {
      failed(error);
    }
  };

  const closeFor = (reason: LinkReason, detail: string): void => {
    closing = { reason, detail };
    void present?.close();
  };

  const write = async (bytes: Uint8Array, request: number): Promise<void> => {
    const to = present;
    let detail = '';
    try {
      await Promise.resolve(); // whoever writes is answered later, not within the call
      if (to === null) throw new LinkFault(told?.reason ?? 'starting', `${door.name} is not open`);
      await to.write(bytes);
    } catch (error) {
      detail = messageOf(error);
    }
    emit({ kind: 'write-result', instrument, request, ok: detail === '', detail });
  };

  const stop = async (): Promise<void> => {
    ending = true;
    cancelRetry();
    abort.abort();
    closing = { reason: 'stopped', detail: 'closed by Stillwell' };
    await present?.close();
    await knocking;
    await Promise.all(writes);
    tell('closed', 'stopped', 'closed by Stillwell');
    silenced = true;
  };

  tell('opening', 'starting', door.name);
  knocking = knock();
  return {
    write(bytes, request) {
      const writing = write(bytes, request);
      writes.add(writing);
      void writing.finally(() => writes.delete(writing));
    },
    reopen(reason, detail) {
      if (ending || door.once === true) return;
      retryUs = FIRST_RETRY_US;
      if (present !== null) closeFor(reason, detail);
      else if (waiting) {
        cancelRetry();
        knockNow();
      }
    },
    stop: () => {
      stopped ??= stop();
      return stopped;
    },
  };
}
