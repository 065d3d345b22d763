/** A feed on a free port with a fake bench, and clients that wait for messages instead of for time. */
import { mkdirSync, mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { connect, type Socket } from 'node:net';
import { tmpdir } from 'node:os';
import { dirname, join } from 'node:path';
import { WebSocket } from 'ws';
import { type ServerMessage, serverMessage } from '../../src/feed/messages.ts';
import { type Feed, startFeed } from '../../src/feed/server.ts';
import { type VirtualClock, virtualClock } from '../../src/links/clock.ts';
import type { Clock } from '../../src/links/contract.ts';
import { FakeSource } from './fake-source.ts';

export interface LogLine {
  readonly level: 'debug' | 'warn' | 'error';
  readonly about: object;
  readonly words: string;
}

export interface TestFeed {
  readonly feed: Feed;
  readonly source: FakeSource;
  readonly clock: VirtualClock;
  readonly port: number;
  readonly log: LogLine[];
  /** Opens a client; it is closed with the feed. */
  client(query?: string, headers?: Record<string, string>): Listener;
  close(): Promise<void>;
}

/** `files`: the page, by path inside its folder. */
export async function startTestFeed(
  options: { source?: FakeSource; clock?: Clock; port?: number; files?: Record<string, string> } = {},
): Promise<TestFeed> {
  const source = options.source ?? new FakeSource();
  const clock = virtualClock();
  const log: LogLine[] = [];
  const write = (level: LogLine['level']) => (about: object, words: string) => void log.push({ level, about, words });
  const pageDir = makePage(options.files ?? { 'index.html': '<!doctype html><title>page</title>' });
  const feed = await startFeed({
    source,
    pageDir,
    host: '127.0.0.1',
    port: options.port ?? 0,
    log: { debug: write('debug'), warn: write('warn'), error: write('error') },
    clock: options.clock ?? clock,
  });
  rmSync(pageDir, { recursive: true });
  const port = Number(new URL(feed.url).port);
  const clients: Listener[] = [];
  return {
    feed,
    source,
    clock,
    port,
    log,
    client(query = '', headers = {}) {
      const client = new Listener(`ws://127.0.0.1:${port}/feed${query}`, headers);
      clients.push(client);
      return client;
    },
    async close() {
      for (const client of clients) client.ws.terminate();
      await feed.close();
    },
  };
}

function makePage(files: Record<string, string>): string {
  const dir = mkdtempSync(join(tmpdir(), 'feed-page-'));
  for (const [name, text] of Object.entries(files)) {
    mkdirSync(dirname(join(dir, name)), { recursive: true });
    writeFileSync(join(dir, name), text);
  }
  return dir;
}

/** A client of the feed that checks every message against the schema and keeps it. */
export class Listener {
  readonly ws: WebSocket;
  readonly messages: ServerMessage[] = [];
  /** Numbers of the events received, in the order of their coming. */
  readonly events: number[] = [];
  /** Resolves with the close code. */
  readonly closed: Promise<number>;
  readonly #counts = new Map<string, number>();
  #error: Error | null = null;
  #check: () => void = () => {};

  constructor(url: string, headers: Record<string, string> = {}) {
    this.ws = new WebSocket(url, { headers });
    this.ws.on('message', (data) => {
      const text = (data as Buffer).toString();
      const result = serverMessage.safeParse(JSON.parse(text));
      if (result.success) this.#keep(result.data);
      else this.#error = new Error(`not a message of the protocol: ${text.slice(0, 200)} ${result.error.message}`);
      this.#check();
    });
    this.closed = new Promise((resolve) => {
      this.ws.on('close', (code) => {
        this.#error ??= new Error(`closed with ${code}`);
        this.#check();
        resolve(code);
      });
    });
    this.ws.on('error', (error) => {
      this.#error = error;
      this.#check();
    });
  }

  #keep(message: ServerMessage): void {
    this.messages.push(message);
    this.#counts.set(message.type, (this.#counts.get(message.type) ?? 0) + 1);
    if (message.type === 'event') this.events.push(message.outcome.event);
  }

  get types(): readonly string[] {
    return this.messages.map(({ type }) => type);
  }

  of<Type extends ServerMessage['type']>(type: Type): Extract<ServerMessage, { type: Type }>[] {
    return this.messages.filter((message): message is Extract<ServerMessage, { type: Type }> => message.type === type);
  }

  /** Waits until `done` holds; rejects when the connection ends first. */
  until(done: () => boolean): Promise<void> {
    return new Promise((resolve, reject) => {
      this.#check = () => {
        if (done()) resolve();
        else if (this.#error !== null) reject(this.#error);
      };
      this.#check();
    });
  }

  /** Waits for the `count`-th message of a type. */
  async next<Type extends ServerMessage['type']>(
    type: Type,
    count = 1,
  ): Promise<Extract<ServerMessage, { type: Type }>> {
    await this.until(() => (this.#counts.get(type) ?? 0) >= count);
    return this.of(type)[count - 1] as Extract<ServerMessage, { type: Type }>;
  }

  send(message: unknown): void {
    this.ws.send(typeof message === 'string' ? message : JSON.stringify(message));
  }

  /** Resolves when the server has handled all that was sent before: its answer to a malformed message comes in order. */
  async handled(): Promise<void> {
    const count = this.of('error').length;
    this.send('?');
    await this.next('error', count + 1);
  }
}

/** Sends `text` as it is on a bare socket and returns all that comes back until the server closes. */
export function rawExchange(port: number, text: string | Buffer): Promise<string> {
  return new Promise((resolve) => {
    let answer = '';
    const socket = connect(port, '127.0.0.1', () => socket.write(text));
    socket.on('data', (data) => {
      answer += data.toString('latin1');
    });
    socket.on('error', () => {});
    socket.on('close', () => resolve(answer));
  });
}

/** The opening handshake by hand; `headers` go on top of or in place of the usual ones. */
export function handshake(port: number, path = '/feed', headers: Record<string, string> = {}): string {
  const all = {
    Host: `127.0.0.1:${port}`,
    Upgrade: 'websocket',
    Connection: 'Upgrade',
    'Sec-WebSocket-Key': 'dGhlIHNhbXBsZSBub25jZQ==',
    'Sec-WebSocket-Version': '13',
    ...headers,
  };
  const lines = Object.entries(all).map(([name, value]) => `${name}: ${value}\r\n`);
  return `GET ${path} HTTP/1.1\r\n${lines.join('')}\r\n`;
}

/** A WebSocket by hand, for what no library would send. Resolves after the 101. */
export function rawWebSocket(port: number, path = '/feed'): Promise<{ socket: Socket; closed: Promise<Buffer> }> {
  return new Promise((resolve, reject) => {
    const received: Buffer[] = [];
    const socket = connect(port, '127.0.0.1', () => socket.write(handshake(port, path)));
    const closed = new Promise<Buffer>((end) => socket.on('close', () => end(Buffer.concat(received))));
    socket.on('error', () => {});
    socket.on('data', (data) => {
      received.push(data);
      const head = Buffer.concat(received).toString('latin1');
      if (head.startsWith('HTTP/1.1 101 ')) resolve({ socket, closed });
      else if (head.includes('\r\n\r\n')) reject(new Error(head));
    });
  });
}

/** A promise and the key to it. */
export function heldBack(): { promise: Promise<void>; release: () => void } {
  let release = (): void => {};
  const promise = new Promise<void>((resolve) => {
    release = resolve;
  });
  return { promise, release };
}

/** Waits, turn by turn of the event loop, for something that no event tells of. */
export async function eventually(done: () => boolean): Promise<void> {
  while (!done()) await new Promise((resolve) => setImmediate(resolve));
}
