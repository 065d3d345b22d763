/** A bench that is only what the feed needs of one: events are added by hand, and every event number can be checked. */
import { CLIENT_EXAMPLES, SERVER_EXAMPLES } from '../../src/feed/examples.ts';
import type {
  ActionResult,
  EventMessage,
  Hello,
  History,
  JobMessage,
  Live,
  Snapshot,
} from '../../src/feed/messages.ts';
import type { FeedSource } from '../../src/feed/source.ts';

type Request = Parameters<FeedSource['act']>[0];

export class FakeSource implements FeedSource {
  journal = 'journal-one';
  /** Raised by hand to make live values differ. */
  levelMm = 60;
  ready = false;
  /** Runs before each answer of `events`: the place to let other things happen meanwhile, or to fail. */
  beforeEvents: (since: number) => Promise<void> | void = () => {};
  beforeAct: (request: Request) => Promise<void> | void = () => {};
  readonly acted: Request[] = [];
  /** What was asked of `events`. */
  readonly asked: { since: number; limit: number }[] = [];
  /** False: only notes. */
  readings = true;
  /** Length of the note in each event. */
  noteLength = 20;
  readonly #listeners = new Set<{ onEvents(): void; onLive(): void }>();
  #lastEvent = 0;

  get listeners(): number {
    return this.#listeners.size;
  }

  /** Makes `count` more events durable and says so. */
  add(count = 1): void {
    this.#lastEvent += count;
    for (const listener of this.#listeners) listener.onEvents();
  }

  changeLive(levelMm = this.levelMm + 1): void {
    this.levelMm = levelMm;
    for (const listener of this.#listeners) listener.onLive();
  }

  hello(): Hello {
    return { ...SERVER_EXAMPLES.hello, journal: this.journal, lastEvent: this.#lastEvent };
  }

  snapshot(): Snapshot {
    const newest = this.#lastEvent - (this.#lastEvent % 3);
    const { utc, outcome } = this.event(newest);
    const lastReading =
      newest > 0 && outcome.kind === 'reading' ? { event: newest, utc, reading: outcome.reading } : null;
    return { ...SERVER_EXAMPLES.snapshot, event: this.#lastEvent, live: this.live(), lastReading };
  }

  job(): JobMessage {
    return { type: 'job', event: 0, job: null, progress: null };
  }

  live(): Live {
    const { live } = SERVER_EXAMPLES.snapshot;
    const gates = live.gates.map((gate) =>
      gate.id === 'window' && !this.ready
        ? { ...gate, open: false, why: 'too-cold', words: '31.0 °C is below 38.0 °C.', value: 31, limit: 38 }
        : gate,
    );
    return { ...live, ready: this.ready, gates, levelMm: this.levelMm };
  }

  lastEvent(): number {
    return this.#lastEvent;
  }

  async events(since: number, limit: number): Promise<readonly EventMessage[]> {
    this.asked.push({ since, limit });
    await this.beforeEvents(since);
    const count = Math.max(0, Math.min(limit, this.#lastEvent - since));
    return Array.from({ length: count }, (_, i) => this.event(since + 1 + i));
  }

  /** Every third event is a reading, the others are notes. */
  event(event: number): EventMessage {
    const numbered = { event, run: 1, seq: event * 10, tUs: event * 1000, algorithm: 1 };
    const reading = SERVER_EXAMPLES.snapshot.lastReading?.reading;
    if (this.readings && reading !== undefined && event % 3 === 0)
      return {
        type: 'event',
        utc: SERVER_EXAMPLES.event.utc,
        outcome: { kind: 'reading', ...numbered, reading: { ...reading, id: event / 3, levelMm: 60 + event / 100 } },
      };
    return {
      type: 'event',
      utc: SERVER_EXAMPLES.event.utc,
      outcome: {
        kind: 'action',
        ...numbered,
        ...{ actionId: `action-${event}`, actor: 'Mira', role: 'technician' },
        body: { type: 'note', text: 'µ'.repeat(this.noteLength) },
        accepted: true,
        refusal: null,
        revision: event,
      },
    };
  }

  async history(channel: string, seconds: number, most: number): Promise<History | null> {
    if (channel !== 'oil-level') return null;
    return { channel, unit: 'mm', utcMs: [seconds, most], min: [1, 2], max: [3, 4] };
  }

  async act(request: Request): Promise<ActionResult> {
    this.acted.push(request);
    await this.beforeAct(request);
    this.add();
    return { ...SERVER_EXAMPLES['action-result'], actionId: request.actionId, event: this.#lastEvent };
  }

  subscribe(listener: { onEvents(): void; onLive(): void }): () => void {
    this.#listeners.add(listener);
    return () => this.#listeners.delete(listener);
  }
}

/** A valid action with an id of its own. */
export function anAction(actionId: string): typeof CLIENT_EXAMPLES.action {
  return { ...CLIENT_EXAMPLES.action, actionId };
}
