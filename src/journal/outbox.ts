/**
 * What the main thread sends to the writer: entries are checked and encoded here, so that a fault in them is told to
 * the caller at once and the writer never holds anything that it cannot store. Counts what is not
 * yet durable.
 */

import { StillwellError } from '../errors.ts';
import { encodeEntry } from './codec.ts';
import type { Entry, EnvelopePoint, Opened } from './contract.ts';
import type { Batch } from './messages.ts';
import { isLandmark } from './projection.ts';

export class Outbox {
  private run: number;
  private seq: number;
  private inputSeq: number;
  private event: number;
  /** False until this process has begun a run of its own. */
  private begun = false;
  private entries = 0;
  private bytes = 0;

  constructor(opened: Opened) {
    this.run = opened.lastRun;
    this.seq = opened.lastSeq;
    this.inputSeq = opened.lastSeq;
    this.event = opened.carried.lastEvent;
  }

  /** Checks and encodes all of them, or throws and admits none. */
  pack(run: number, entries: readonly Entry[], points: readonly EnvelopePoint[]): Batch {
    const before = { run: this.run, seq: this.seq, inputSeq: this.inputSeq, event: this.event, begun: this.begun };
    try {
      const encoded = entries.map((entry) => {
        this.check(run, entry);
        return encodeEntry(entry);
      });
      for (const point of points) checkPoint(point);
      const batch = toBatch(run, entries, encoded, points);
      this.entries += batch.entries;
      this.bytes += batch.content.length;
      return batch;
    } catch (error) {
      Object.assign(this, before);
      throw error;
    }
  }

  durable(entries: number, bytes: number): void {
    this.entries -= entries;
    this.bytes -= bytes;
  }

  backlog(): { readonly entries: number; readonly bytes: number } {
    return { entries: this.entries, bytes: this.bytes };
  }

  /** The order that the whole file rests on: runs, sequence numbers and events only grow. */
  private check(run: number, entry: Entry): void {
    const { seq, tUs } = entry.kind === 'input' ? entry.input : entry.outcome;
    if (!isCount(seq) || !isCount(tUs)) throw refused(`stamp ${seq}, ${tUs} µs is not made of whole numbers`);
    if (entry.kind === 'input') this.checkInput(run, entry.input);
    else this.checkOutcome(run, entry.outcome);
    this.seq = seq;
  }

  private checkInput(run: number, input: Extract<Entry, { kind: 'input' }>['input']): void {
    if (input.seq <= this.inputSeq || input.seq < this.seq) throw refused(`input ${input.seq} comes after ${this.seq}`);
    this.inputSeq = input.seq;
    if (input.kind === 'run-start') {
      if (![run, input.schema, input.algorithm].every(isCount)) throw refused('a number of the run start is no count');
      if (input.run !== run || run <= this.run) throw refused(`run ${run} starts after run ${this.run}`);
      this.run = run;
      this.begun = true;
    } else if (!this.begun || run !== this.run) {
      throw refused(`run ${run} has not been started`);
    }
  }

  private checkOutcome(run: number, outcome: Extract<Entry, { kind: 'outcome' }>['outcome']): void {
    if (!this.begun || run !== this.run || outcome.run !== run) throw refused(`run ${run} has not been started`);
    if (outcome.seq < this.seq) throw refused(`an outcome of input ${outcome.seq} comes after input ${this.seq}`);
    if (outcome.event <= this.event || !isCount(outcome.event))
      throw refused(`event ${outcome.event} comes after event ${this.event}`);
    this.event = outcome.event;
  }
}

function checkPoint(point: EnvelopePoint): void {
  if (!Number.isFinite(point.value) || !isCount(point.tUs)) {
    throw new StillwellError('journal-entry', `point of channel ${point.channel}`, `${point.value} at ${point.tUs} µs`);
  }
}

function toBatch(
  run: number,
  entries: readonly Entry[],
  encoded: readonly Uint8Array[],
  points: readonly EnvelopePoint[],
): Batch {
  // Not Buffer.concat: its memory may be part of a shared pool, and this must be moved to the worker as a whole.
  const content = new Uint8Array(encoded.reduce((sum, bytes) => sum + bytes.length, 0));
  let at = 0;
  for (const bytes of encoded) {
    content.set(bytes, at);
    at += bytes.length;
  }
  const stamps = entries.map((entry) => (entry.kind === 'input' ? entry.input : entry.outcome));
  const times = stamps.map(({ tUs }) => tUs);
  return {
    run,
    content,
    entries: entries.length,
    firstSeq: stamps.at(0)?.seq ?? 0,
    lastSeq: stamps.at(-1)?.seq ?? 0,
    firstTUs: times.reduce((a, b) => Math.min(a, b), Number.MAX_SAFE_INTEGER),
    lastTUs: times.reduce((a, b) => Math.max(a, b), 0),
    landmarks: entries.filter(isLandmark),
    points,
  };
}

function isCount(value: number): boolean {
  return Number.isSafeInteger(value) && value >= 0;
}

function refused(detail: string): StillwellError {
  return new StillwellError('journal-entry', 'journal', detail);
}
