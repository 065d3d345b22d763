/**
 * A scripted feed for the page: the built page over HTTP under the real headers, and a WebSocket that says what a test
 * tells it to. Every message is checked against the schemas of the feed before it goes out, so a script cannot show the
 * page anything that a real bench could not say.
 */
import { readFileSync } from 'node:fs';
import { createServer, type IncomingMessage, type ServerResponse } from 'node:http';
import type { AddressInfo } from 'node:net';
import { extname, join } from 'node:path';
import { type WebSocket, WebSocketServer } from 'ws';
import { eventsPage } from '../../src/feed/http-messages.ts';
import {
  type ActionResult,
  actionResult,
  type ClientMessage,
  clientMessage,
  type EventMessage,
  eventMessage,
  type History,
  hello,
  history as historySchema,
  type Live,
  liveMessage,
  PROTOCOL_VERSION,
  type ServerMessage,
  type Snapshot,
  serverMessage,
  snapshot as snapshotSchema,
} from '../../src/feed/messages.ts';

export const CSP = "default-src 'self'; object-src 'none'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'";

const TYPES: Readonly<Record<string, string>> = {
  '.html': 'text/html; charset=utf-8',
  '.js': 'text/javascript; charset=utf-8',
  '.css': 'text/css; charset=utf-8',
  '.svg': 'image/svg+xml',
  '.png': 'image/png',
  '.webmanifest': 'application/manifest+json',
};

export interface Script {
  /** The bench as it stands when somebody connects. */
  snapshot(): Snapshot;
  /** Said ten times a second; null for silence on an open line. */
  live(): Live | null;
  history?(channel: string, seconds: number): History | null;
  answer?(request: ClientMessage): ActionResult | null;
  /** What happened up to the snapshot, for who comes new; default nothing. */
  past?(): readonly EventMessage[];
  /** What was missed since an event; default nothing. */
  missed?(since: number): readonly ServerMessage[];
  journal?: string;
}

export class FakeFeed {
  script: Script;
  /** Every action received, checked against the schema. */
  readonly actions: ClientMessage[] = [];
  /** Path and query of every WebSocket opened. */
  readonly opened: string[] = [];
  #refusing = false;
  readonly #dir: string;
  readonly #server = createServer((request, response) => this.#serve(request, response));
  readonly #sockets = new WebSocketServer({ noServer: true, perMessageDeflate: false });
  readonly #timer: NodeJS.Timeout;

  /** `dir` holds the built page. */
  constructor(dir: string, script: Script) {
    this.#dir = dir;
    this.script = script;
    this.#server.on('upgrade', (request, socket, head) => {
      if (this.#refusing) {
        socket.destroy();
        return;
      }
      this.#sockets.handleUpgrade(request, socket, head, (client) => this.#greet(client, request.url ?? ''));
    });
    this.#timer = setInterval(() => {
      const live = this.script.live();
      if (live !== null) this.say(liveMessage.parse({ type: 'live', ...live }));
    }, 100);
  }

  /** Listens on the loopback, on a free port unless one is given; the page's address. */
  async start(port = 0): Promise<string> {
    await new Promise<void>((resolve) => this.#server.listen(port, '127.0.0.1', resolve));
    return `http://127.0.0.1:${(this.#server.address() as AddressInfo).port}/`;
  }

  /** Says it to everybody who listens. */
  say(message: ServerMessage): void {
    const text = JSON.stringify(serverMessage.parse(message));
    for (const client of this.#sockets.clients) client.send(text);
  }

  /** Refuses new lines until mended. */
  refuse(): void {
    this.#refusing = true;
  }

  /** Cuts every line and refuses new ones until mended. */
  cut(): void {
    this.refuse();
    for (const client of this.#sockets.clients) client.terminate();
  }

  mend(): void {
    this.#refusing = false;
  }

  async stop(): Promise<void> {
    clearInterval(this.#timer);
    this.cut();
    this.#server.closeAllConnections();
    await new Promise<void>((resolve) => this.#server.close(() => resolve()));
  }

  get #journal(): string {
    return this.script.journal ?? 'journal-of-the-test';
  }

  #greet(client: WebSocket, url: string): void {
    this.opened.push(url);
    client.on('error', () => client.terminate());
    client.on('message', (data) => this.#take(client, String(data)));
    const snapshot = snapshotSchema.parse(this.script.snapshot());
    const tell = (message: ServerMessage) => client.send(JSON.stringify(serverMessage.parse(message)));
    tell(
      hello.parse({
        type: 'hello',
        protocol: PROTOCOL_VERSION,
        software: '0.1.0',
        bench: snapshot.bench.name,
        journal: this.#journal,
        lastEvent: snapshot.event,
      }),
    );
    const since = new URL(url, 'http://bench').searchParams.get('since');
    if (since !== null)
      for (const message of this.script.missed?.(Number(since)) ?? []) tell(eventMessage.parse(message));
    tell(snapshot);
  }

  #take(client: WebSocket, text: string): void {
    const request = clientMessage.parse(JSON.parse(text));
    this.actions.push(request);
    const result = this.script.answer?.(request) ?? null;
    if (result !== null) client.send(JSON.stringify(actionResult.parse(result)));
  }

  #serve(request: IncomingMessage, response: ServerResponse): void {
    const url = new URL(request.url ?? '/', 'http://bench');
    response.setHeader('Content-Security-Policy', CSP);
    response.setHeader('X-Content-Type-Options', 'nosniff');
    if (url.pathname === '/api/history') {
      const { channel, seconds } = Object.fromEntries(url.searchParams);
      const found = this.script.history?.(channel ?? '', Number(seconds)) ?? null;
      const empty: History = { channel: channel ?? '', unit: '1', utcMs: [], min: [], max: [] };
      response.setHeader('Content-Type', 'application/json; charset=utf-8');
      response.end(JSON.stringify(historySchema.parse(found ?? empty)));
      return;
    }
    if (url.pathname === '/api/events') {
      const since = Number(url.searchParams.get('since') ?? 0);
      const all = (this.script.past?.() ?? []).filter(({ outcome }) => outcome.event > since);
      const events = all.slice(0, Number(url.searchParams.get('limit') ?? 100));
      const lastEvent = this.script.snapshot().event;
      response.setHeader('Content-Type', 'application/json; charset=utf-8');
      response.end(JSON.stringify(eventsPage.parse({ journal: this.#journal, lastEvent, events })));
      return;
    }
    const name = url.pathname === '/' ? 'index.html' : url.pathname.slice(1);
    try {
      const body = readFileSync(join(this.#dir, name));
      response.setHeader('Content-Type', TYPES[extname(name)] ?? 'application/octet-stream');
      response.end(body);
    } catch {
      response.statusCode = 404;
      response.end();
    }
  }
}
