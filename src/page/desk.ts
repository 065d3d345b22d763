/**
 * The page's desk: holds the view and the traces, listens to the line, sends what the technician asks for, and tells
 * whoever draws that something changed.
 */
import type { ActionBody } from '../core/events.ts';
import type { EventMessage, History, ServerMessage } from '../feed/messages.ts';
import { type Connection, connect, type World } from './connection.ts';
import { type Happening, reduce, resumeFrom, START, type View } from './state.ts';
import { type ChartName, eventsPath, historyPath, PAST_EVENTS, Traces } from './traces.ts';

export interface Outside extends World {
  /** Milliseconds of a clock that is never set. */
  nowMs(): number;
  /** A new id for an action, 8 to 64 characters, never the same twice. */
  newId(): string;
  /** JSON of a path on the same host, null where there is none. */
  fetchJson(path: string): Promise<unknown>;
}

/** More than a wide screen has pixels for. */
const MOST_POINTS = 2000;

interface EventsPage {
  readonly journal: string;
  readonly events: readonly EventMessage[];
}

export class Desk {
  readonly traces = new Traces();
  readonly #outside: Outside;
  readonly #listeners = new Set<() => void>();
  readonly #connection: Connection;
  #view: View;
  /** The journal whose earlier events were asked for. */
  #recalled: string | null = null;

  /** `begin` is what was known before, where something was kept. */
  constructor(outside: Outside, begin: View = START) {
    this.#outside = outside;
    this.#view = begin;
    this.traces.subscribe(() => this.#tell());
    this.#connection = connect(outside, {
      resume: () => resumeFrom(this.#view),
      message: (message) => this.#hear(message),
      lost: () => this.#happen({ kind: 'lost', atMs: outside.nowMs() }),
    });
  }

  get view(): View {
    return this.#view;
  }

  nowMs(): number {
    return this.#outside.nowMs();
  }

  /** Calls back when the view or a trace changed; always the same function, so that a chart can tell. */
  readonly subscribe = (listener: () => void): (() => void) => {
    this.#listeners.add(listener);
    return () => this.#listeners.delete(listener);
  };

  hurry(): void {
    this.#connection.hurry();
  }

  /** What was missed has been seen. */
  seen(): void {
    this.#happen({ kind: 'seen' });
  }

  /** Sends an action in the envelope. False where it could not be sent. */
  act(actor: string, body: ActionBody): boolean {
    const actionId = this.#outside.newId();
    const expectedRevision = this.#view.revision;
    const sent = this.#connection.send({
      type: 'action',
      actionId,
      actor,
      role: 'technician',
      expectedRevision,
      body,
    });
    if (sent) this.#happen({ kind: 'asked', actionId, type: body.type });
    return sent;
  }

  /** The last `seconds` of a channel in as many points as a screen has; null where the bench does not answer. */
  async history(channel: string, seconds: number): Promise<History | null> {
    return (await this.#outside.fetchJson(historyPath(channel, seconds, MOST_POINTS))) as History | null;
  }

  /** Events after number `since`, at most `limit`; null where the bench does not answer, or is another one. */
  async events(since: number, limit: number): Promise<readonly EventMessage[] | null> {
    const found = (await this.#outside.fetchJson(eventsPath(since, limit))) as EventsPage | null;
    return found === null || found.journal !== this.#view.hello?.journal ? null : found.events;
  }

  #hear(message: ServerMessage): void {
    const before = this.#view;
    this.#happen({ kind: 'heard', message, atMs: this.#outside.nowMs() });
    const { bench, live, hello } = this.#view;
    if (before.hello !== null && hello !== null && before.hello.journal !== hello.journal) this.traces.restart();
    if (bench === null || live === null) return;
    if (message.type === 'live' || message.type === 'snapshot') this.traces.hear(bench, live);
    if (message.type === 'snapshot') {
      void this.#seed('temperature', bench.temperatureChannel);
      void this.#seed('level', bench.levelChannel);
      if (this.#recalled !== hello?.journal) void this.#recall(message.event);
      this.#recalled = hello?.journal ?? null;
    }
  }

  async #seed(chart: ChartName, channel: string): Promise<void> {
    const journal = this.#view.hello?.journal;
    const history = (await this.#outside.fetchJson(historyPath(channel))) as History | null;
    // While it was on its way the bench may have become another one.
    if (history !== null && this.#view.hello?.journal === journal) this.traces.seed(chart, history);
  }

  /** The events before the page came: readings and ready spells belong on the charts too. */
  async #recall(upTo: number): Promise<void> {
    const found = await this.events(Math.max(0, upTo - PAST_EVENTS), PAST_EVENTS);
    if (found === null) return;
    this.#happen({ kind: 'past', events: found.filter(({ outcome }) => outcome.event <= upTo) });
  }

  #happen(happening: Happening): void {
    this.#view = reduce(this.#view, happening);
    this.#tell();
  }

  #tell(): void {
    for (const listener of this.#listeners) listener();
  }
}
