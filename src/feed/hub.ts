/** All WebSocket clients together: what came up is passed on to each, live values at most ten times a second. */
import type { WebSocket } from 'ws';
import type { Clock } from '../links/contract.ts';
import { FeedClient } from './client.ts';
import { type FeedLog, thrownWords } from './log.ts';
import type { Since } from './since.ts';
import type { FeedSource } from './source.ts';

export const MOST_CLIENTS = 64;
/** A client is cut off when it has not answered the ping of the last beat. */
export const HEARTBEAT_US = 15_000_000;
export const LIVE_INTERVAL_US = 100_000;
/** Live values go out at least this often, changed or not: ages grow, and a silent line means a lost one. */
export const QUIET_US = 1_000_000;
/** WebSocket close code "going away" (RFC 6455, 7.4.1). */
const CLOSE_AWAY = 1001;

export interface HubParts {
  readonly source: FeedSource;
  readonly clock: Clock;
  readonly log: FeedLog;
}

export class Hub {
  readonly #parts: HubParts;
  readonly #clients = new Set<FeedClient>();
  readonly #unsubscribe: () => void;
  /** Counts changes of the live values, so that each client gets each state once at most. */
  #liveVersion = 0;
  #lastLiveUs = -LIVE_INTERVAL_US;
  #liveDueUs = Number.POSITIVE_INFINITY;
  #cancelLive: () => void = () => {};
  #cancelBeat: () => void = () => {};
  #closing = false;

  constructor(parts: HubParts) {
    this.#parts = parts;
    this.#unsubscribe = parts.source.subscribe({
      onEvents: () => {
        for (const client of this.#clients) {
          client.wake();
        }
      },
      onLive: () => {
        this.#liveVersion++;
        this.#planLive();
      },
    });
    this.#planBeat();
  }

  get hasRoom(): boolean {
    return !this.#closing && this.#clients.size < MOST_CLIENTS;
  }

  /** Clients, and what is waiting in their sockets. */
  load(): { clients: number; bufferedBytes: number } {
    let bufferedBytes = 0;
    for (const client of this.#clients) {
      bufferedBytes += client.bufferedBytes;
    }
    return { clients: this.#clients.size, bufferedBytes };
  }

  admit(ws: WebSocket, since: Since | null): void {
    const client = new FeedClient({ ...this.#parts, ws, drained: () => this.#planLive() });
    this.#clients.add(client);
    ws.on('close', () => this.#clients.delete(client));
    client.start(since);
    this.#planLiveAt(this.#parts.clock.nowUs() + QUIET_US);
  }

  /** Resolves when the last client has gone. */
  async close(): Promise<void> {
    this.#closing = true;
    this.#unsubscribe();
    this.#cancelBeat();
    this.#cancelLive();
    await Promise.all(Array.from(this.#clients, (client) => client.close(CLOSE_AWAY, 'the bench stops')));
  }

  #planLive(): void {
    this.#planLiveAt(Math.max(this.#parts.clock.nowUs(), this.#lastLiveUs + LIVE_INTERVAL_US));
  }

  /** One timer: the earliest plan holds. */
  #planLiveAt(atUs: number): void {
    if (this.#clients.size > 0 && !this.#closing && atUs < this.#liveDueUs) {
      this.#cancelLive();
      this.#liveDueUs = atUs;
      this.#cancelLive = this.#parts.clock.at(atUs, () => this.#sendLive());
    }
  }

  #sendLive(): void {
    const { source, clock, log } = this.#parts;
    const nowUs = clock.nowUs();
    this.#liveDueUs = Number.POSITIVE_INFINITY;
    if (nowUs - this.#lastLiveUs >= QUIET_US) this.#liveVersion++;
    const due = [...this.#clients].filter((client) => client.wantsLive(this.#liveVersion));
    if (due.length > 0) {
      this.#lastLiveUs = nowUs;
      try {
        const text = JSON.stringify({ type: 'live', ...source.live() });
        for (const client of due) {
          client.sendLive(text, this.#liveVersion);
        }
      } catch (error) {
        log.error({ error: thrownWords(error) }, 'the feed could not get the live values');
      }
    }
    this.#planLiveAt(nowUs + QUIET_US);
  }

  #planBeat(): void {
    const { clock } = this.#parts;
    this.#cancelBeat = clock.at(clock.nowUs() + HEARTBEAT_US, () => {
      for (const client of this.#clients) {
        client.beat();
      }
      this.#planBeat();
    });
  }
}
