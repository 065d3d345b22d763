/** A journal in memory whose disk is as slow as the test wants: nothing is durable until told. */
import { NOTHING_CARRIED } from '../../src/core/carried.ts';
import type { Outcome } from '../../src/core/events.ts';
import type { DatedOutcome, Entry, Journal, JournalEvents } from '../../src/journal/contract.ts';

export class MemoryJournal {
  readonly entries: Entry[] = [];
  refusesStates = false;
  readonly checkpoints: { run: number; seq: number; why: string }[] = [];
  flushes = 0;
  closed = false;
  /** Set to false, and nothing becomes durable until `catchUp`. */
  diskFollows = true;
  #durable = 0;
  #events: JournalEvents | null = null;

  open(events: JournalEvents): Journal {
    this.#events = events;
    const outcomes = (): Outcome[] =>
      this.entries.slice(0, this.#durable).flatMap((entry) => (entry.kind === 'outcome' ? [entry.outcome] : []));
    const dated = (outcome: Outcome): DatedOutcome => ({ utcMs: outcome.tUs / 1000, outcome });
    return {
      opened: { journalId: 'memory', lastRun: 0, lastSeq: 0, carried: NOTHING_CARRIED, movedAside: null },
      reader: {
        events: async (since, limit) =>
          outcomes()
            .filter(({ event }) => event > since)
            .slice(0, limit)
            .map(dated),
        action: async (id) => {
          const found = outcomes().find((outcome) => outcome.kind === 'action' && outcome.actionId === id);
          return found === undefined ? null : dated(found);
        },
        newest: async (kind) => {
          const found = outcomes().findLast((outcome) => outcome.kind === kind);
          return found === undefined ? null : dated(found);
        },
        envelope: async () => [],
      },
      append: (_run, entries, _points, flush) => {
        this.entries.push(...entries);
        if (flush && this.diskFollows) this.catchUp();
      },
      flush: () => {
        this.flushes++;
        if (this.diskFollows) this.catchUp();
      },
      checkpoint: (run, seq, why) => {
        if (this.refusesStates) throw new Error('it is NaN');
        this.checkpoints.push({ run, seq, why });
      },
      backlog: () => {
        const waiting = this.entries.length - this.#durable;
        return { entries: waiting, bytes: waiting * 40 };
      },
      close: async () => {
        this.closed = true;
      },
    };
  }

  /** The disk refuses what it is given, as when it is full. */
  refuse(): void {
    this.diskFollows = false;
    this.#events?.onRefused('SQLITE_FULL', 'database or disk is full');
  }

  /** Everything admitted so far reaches the disk. */
  catchUp(): void {
    this.#durable = this.entries.length;
    let seq = 0;
    let event = 0;
    for (const entry of this.entries) {
      if (entry.kind === 'input') seq = entry.input.seq;
      else event = entry.outcome.event;
    }
    this.#events?.onDurable({ seq, event });
  }

  inputs(kind: string) {
    return this.entries.flatMap((entry) => (entry.kind === 'input' && entry.input.kind === kind ? [entry.input] : []));
  }
}
