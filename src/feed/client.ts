/**
 * One WebSocket client. Nothing is queued for it here: durable events are pulled from the source behind a cursor, live
 * values are always the latest, and while its socket is full nothing is sent at all.
 * Order: hello, then what it missed or why it cannot be told, then the snapshot, then events and live values.
 */
import type { WebSocket } from 'ws';
import type { Clock } from '../links/contract.ts';
import { type FeedLog, thrownWords } from './log.ts';
import type { ServerMessage } from './messages.ts';
import { MESSAGES_PER_SECOND, Requests } from './requests.ts';
import { cannotReplay, type Since } from './since.ts';
import type { FeedSource } from './source.ts';

/** With this much unsent, nothing more is sent until it has drained. */
export const FULL_BYTES = 256 * 1024;
/** A client that goes on asking without ever reading the replies is cut off here. */
const CUT_OFF_BYTES = 1024 * 1024;
const PAGE_EVENTS = 100;
/** After the record could not be read. */
const RETRY_US = 1_000_000;

/** WebSocket close codes (RFC 6455, 7.4.1). */
const CLOSE_POLICY = 1008;
const CLOSE_INTERNAL = 1011;

export interface ClientParts {
  readonly ws: WebSocket;
  readonly source: FeedSource;
  readonly clock: Clock;
  readonly log: FeedLog;
  /** Called when a full socket has drained. */
  readonly drained: () => void;
}

export class FeedClient {
  readonly #parts: ClientParts;
  readonly #requests: Requests;
  /** Newest event sent, or contained in the snapshot sent. */
  #cursor = 0;
  #snapshotSent = false;
  #pumping = false;
  #full = false;
  #answeredPing = true;
  #liveVersion = -1;
  /** Event of the newest job message sent, or contained in the snapshot sent. */
  #jobEvent = 0;
  #cancelRetry: () => void = () => {};

  constructor(parts: ClientParts) {
    const { ws, log } = parts;
    this.#parts = parts;
    this.#requests = new Requests({ ...parts, send: (message) => this.#send(message) });
    // ws reports protocol errors here and closes; without a listener they would end the process.
    ws.on('error', (error) => log.debug({ error: error.message }, 'feed client broke the protocol or its connection'));
    ws.on('close', () => this.#cancelRetry());
    ws.on('ping', () => this.#countMessage());
    ws.on('pong', () => {
      this.#answeredPing = this.#countMessage();
    });
    ws.on('message', (data, isBinary) => {
      if (this.#countMessage()) this.#requests.take(data, isBinary);
    });
  }

  get bufferedBytes(): number {
    return this.#parts.ws.bufferedAmount;
  }

  get #isOpen(): boolean {
    return this.#parts.ws.readyState === this.#parts.ws.OPEN;
  }

  /** Sends hello and starts what follows. */
  start(since: Since | null): void {
    const { source, log } = this.#parts;
    try {
      const hello = source.hello();
      this.#send(hello);
      const problem = since === null ? null : cannotReplay(since, hello.journal, hello.lastEvent);
      if (problem !== null) this.#send(problem);
      this.#cursor = since === null || problem !== null ? source.snapshot().event : since.event;
      this.wake();
    } catch (error) {
      log.error({ error: thrownWords(error) }, 'the feed could not greet a client');
      void this.close(CLOSE_INTERNAL, 'failed here');
    }
  }

  /** There may be new events, or room to send them. */
  wake(): void {
    if (!this.#pumping) void this.#pump();
  }

  /** True when `version` of the live values should be sent now. */
  wantsLive(version: number): boolean {
    return this.#snapshotSent && this.#liveVersion < version && this.#hasRoom();
  }

  sendLive(text: string, version: number): void {
    this.#liveVersion = version;
    this.#sendText(text);
  }

  /** Ends a client that did not answer the last ping, else sends the next. */
  beat(): void {
    const { ws } = this.#parts;
    if (!this.#answeredPing) {
      ws.terminate();
    } else if (this.#isOpen) {
      this.#answeredPing = false;
      ws.ping();
    }
  }

  /** Resolves when it has gone: after its answer, or after the time that ws gives it for one. */
  async close(code: number, words: string): Promise<void> {
    const { ws } = this.#parts;
    this.#cancelRetry();
    if (ws.readyState === ws.CLOSED) return;
    await new Promise<void>((resolve) => {
      ws.once('close', () => resolve());
      ws.close(code, words);
    });
  }

  /** One at a time. Runs while there is something to pull and room to send it. */
  async #pump(): Promise<void> {
    const { source, log } = this.#parts;
    this.#pumping = true;
    try {
      while (this.#hasRoom()) {
        const snapshot = this.#snapshotSent ? null : source.snapshot();
        const upTo = snapshot?.event ?? source.lastEvent();
        if (this.#cursor < upTo) {
          if (!(await this.#sendPage(upTo))) return this.#retryLater();
        } else if (snapshot !== null) {
          this.#snapshotSent = true;
          this.#jobEvent = snapshot.event;
          this.#send(snapshot);
        } else {
          const job = source.job();
          if (job.event <= this.#jobEvent) return;
          this.#jobEvent = job.event;
          this.#send(job);
        }
      }
    } catch (error) {
      log.warn({ error: thrownWords(error) }, 'the feed could not read the record and tries again');
      this.#retryLater();
    } finally {
      this.#pumping = false;
    }
  }

  /** Sends events behind the cursor, none beyond `upTo`. False when the source has none although it should. */
  async #sendPage(upTo: number): Promise<boolean> {
    const from = this.#cursor;
    const page = await this.#parts.source.events(from, Math.min(PAGE_EVENTS, upTo - from));
    for (const message of page) {
      const { event } = message.outcome;
      if (event > upTo || !this.#hasRoom()) break;
      if (event > this.#cursor) {
        this.#cursor = event;
        this.#send(message);
      }
    }
    return this.#cursor > from || !this.#hasRoom();
  }

  #retryLater(): void {
    const { clock } = this.#parts;
    this.#cancelRetry();
    if (this.#isOpen) this.#cancelRetry = clock.at(clock.nowUs() + RETRY_US, () => this.wake());
  }

  /** False when this message is not to be looked at. */
  #countMessage(): boolean {
    if (!this.#isOpen) return false;
    const withinRate = this.#requests.count();
    if (!withinRate) void this.close(CLOSE_POLICY, `more than ${MESSAGES_PER_SECOND} messages a second`);
    return withinRate;
  }

  #hasRoom(): boolean {
    this.#full ||= this.#parts.ws.bufferedAmount >= FULL_BYTES;
    return !this.#full && this.#isOpen;
  }

  #send(message: ServerMessage): void {
    this.#sendText(JSON.stringify(message));
  }

  #sendText(text: string): void {
    const { ws } = this.#parts;
    if (!this.#isOpen) return;
    if (ws.bufferedAmount > CUT_OFF_BYTES) ws.terminate();
    else ws.send(text, this.#onFlushed);
  }

  /** Called once for each message when the system has taken it; at the last one the buffer is empty. */
  readonly #onFlushed = (): void => {
    const { ws, drained } = this.#parts;
    if (this.#full && ws.bufferedAmount < FULL_BYTES / 2) {
      this.#full = false;
      this.wake();
      drained();
    }
  };
}
