/** A journal that keeps nothing: what is recorded is replayed at once, and the judge hears what comes of it. */
import { isDeepStrictEqual } from 'node:util';
import { drivers } from '../../../drivers/index.ts';
import { NOTHING_CARRIED } from '../../../src/core/carried.ts';
import type { Outcome } from '../../../src/core/events.ts';
import { createPipeline } from '../../../src/core/pipeline.ts';
import type { State } from '../../../src/core/state.ts';
import type { Entry, EnvelopePoint, Journal, JournalEvents } from '../../../src/journal/contract.ts';
import type { Judge } from './judge.ts';

export class Replayed {
  readonly #judge: Judge;
  readonly #pipeline = createPipeline(drivers);
  #state: State | null = null;
  #due: Outcome[] = [];
  #good = 0;
  #points = 0;
  entries = 0;
  seq = 0;
  event = 0;

  constructor(judge: Judge) {
    this.#judge = judge;
  }

  take(entries: readonly Entry[], points: readonly EnvelopePoint[]): void {
    this.entries += entries.length;
    this.#points += points.length;
    for (const entry of entries) {
      if (entry.kind === 'outcome') {
        this.event = entry.outcome.event;
        const due = this.#due.shift();
        if (!isDeepStrictEqual(due, entry.outcome))
          this.#judge.complain(`recorded ${JSON.stringify(entry.outcome)}, replayed ${JSON.stringify(due)}`);
        continue;
      }
      const { input } = entry;
      this.seq = input.seq;
      if (this.#due.length > 0) this.#judge.complain(`before ${input.seq}: an outcome is missing in the record`);
      this.#judge.input(input);
      const step = this.#pipeline.step(this.#state, input);
      this.#state = step.state;
      for (const output of step.outputs) {
        if (output.kind === 'sample') {
          this.#good += output.quality === 'good' ? 1 : 0;
          this.#judge.sample(output);
        } else if (output.kind === 'outcome') {
          this.#due.push(output.outcome);
          this.#judge.outcome(output.outcome);
        }
      }
    }
    if (this.#good !== this.#points) this.#judge.complain(`${this.#good} good values, ${this.#points} in the chart`);
  }
}

/** A journal whose disk takes everything at once, until it refuses. */
export interface ForgetfulJournal extends Journal {
  refuse(): void;
  takeAgain(): void;
}

export function forgetfulJournal(replayed: Replayed, events: JournalEvents): ForgetfulJournal {
  let refuses = false;
  const flush = (): void => {
    if (refuses) events.onRefused('SQLITE_FULL', 'database or disk is full');
    else events.onDurable({ seq: replayed.seq, event: replayed.event });
  };
  return {
    opened: { journalId: 'mixed', lastRun: 0, lastSeq: 0, carried: NOTHING_CARRIED, movedAside: null },
    reader: {
      events: async () => [],
      action: async () => null,
      newest: async () => null,
      envelope: async () => [],
    },
    append(_run, entries, points, decided) {
      replayed.take(entries, points);
      if (decided) flush();
    },
    flush,
    checkpoint() {},
    backlog: () => ({ entries: 0, bytes: 0 }),
    close: async () => {},
    refuse() {
      refuses = true;
      flush();
    },
    takeAgain() {
      refuses = false;
    },
  };
}
