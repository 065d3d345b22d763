/**
 * The one door into the core: every input gets its sequence number and time here, stands in the queue to the journal,
 * and is stepped. When the disk cannot follow, the record has a gap: what comes meanwhile is stepped on a copy of the
 * state, for the eye only, and forgotten afterwards, so that the record still replays.
 */
import type { Input, Output } from './core/events.ts';
import type { Pipeline, Step } from './core/pipeline.ts';
import type { State } from './core/state.ts';
import type { Entry, EnvelopePoint, Journal } from './journal/contract.ts';
import type { Clock } from './links/contract.ts';

/** An input before it is admitted. */
export type NewInput = Input extends infer Each ? (Each extends Input ? Omit<Each, 'seq' | 'tUs'> : never) : never;

export interface AdmissionHooks {
  /** For the eye: every input and output, kept or not. */
  onInput(input: Input): void;
  onOutput(output: Output): void;
  onRecording(recording: boolean): void;
}

/** Frames not yet on disk beyond which the record gets a gap, and below which it goes on. */
const MOST_WAITING = { entries: 20_000, bytes: 16e6 };
const FEW_WAITING = { entries: 1000, bytes: 1e6 };
/** Frames are on disk at the latest after this long. */
const FLUSH_EVERY_US = 200_000;
/** A disk that refuses is asked again after this long. */
const RETRY_EVERY_US = 1_000_000;

export class Admission {
  readonly #pipeline: Pipeline;
  readonly #journal: Journal;
  readonly #clock: Clock;
  readonly #hooks: AdmissionHooks;
  #run = 0;
  #seq: number;
  #lastUs = 0;
  #state: State | null = null;
  #turn: { entries: Entry[]; points: EnvelopePoint[]; decided: boolean; ending: boolean } = emptyTurn();
  #refused = false;
  #gap: { fromUs: number; frames: number; shadow: State } | null = null;
  #wake: { atUs: number; cancel: () => void } | null = null;
  #flush: (() => void) | null = null;
  #retry: (() => void) | null = null;
  #closed = false;

  constructor(pipeline: Pipeline, journal: Journal, clock: Clock, hooks: AdmissionHooks) {
    this.#pipeline = pipeline;
    this.#journal = journal;
    this.#clock = clock;
    this.#hooks = hooks;
    this.#seq = journal.opened.lastSeq;
  }

  get recording(): boolean {
    return this.#gap === null;
  }

  /** Admits an input and steps the core. Returns its outputs. */
  admit(input: NewInput): readonly Output[] {
    if (this.#closed) return [];
    const tUs = Math.max(this.#lastUs, this.#clock.nowUs());
    this.#lastUs = tUs;
    if (input.kind === 'run-start') this.#run = input.run;
    const { entries, bytes } = this.#waiting();
    if (this.#gap === null && (this.#refused || entries > MOST_WAITING.entries || bytes > MOST_WAITING.bytes))
      this.#beginGap(tUs);
    if (this.#gap !== null && !this.#refused && entries < FEW_WAITING.entries && bytes < FEW_WAITING.bytes)
      this.#endGap(tUs);
    return this.#gap === null ? this.#keep(input, tUs) : this.#show(input, tUs);
  }

  /** The disk refuses what is queued: no use in queueing more until it takes something again. */
  refused(): void {
    if (this.#refused) return;
    this.#refused = true;
    this.admit({ kind: 'tick' });
    this.#tryAgain();
  }

  /** The disk took something: a gap ends then, whether or not anything comes in. */
  taken(): void {
    this.#refused = false;
    if (this.#gap !== null) this.admit({ kind: 'tick' });
  }

  /** A copy of the core's state goes into the journal, so that replay can begin here. */
  checkpoint(why: 'run-start' | 'job-start'): void {
    if (this.#state === null) return;
    this.#endTurn();
    this.#journal.checkpoint(this.#run, this.#seq, why, structuredClone(this.#state));
  }

  /** Hands over what stands in the queue; nothing is admitted afterwards. */
  close(): void {
    this.#endTurn();
    this.#closed = true;
    this.#wake?.cancel();
    this.#flush?.();
    this.#retry?.();
  }

  #keep(input: NewInput, tUs: number): readonly Output[] {
    const admitted = { ...input, seq: ++this.#seq, tUs } as Input;
    this.#turn.entries.push({ kind: 'input', input: admitted });
    this.#hooks.onInput(admitted);
    const step = this.#pipeline.step(this.#state, admitted);
    this.#state = step.state;
    for (const output of step.outputs) {
      if (output.kind === 'outcome') {
        this.#turn.entries.push({ kind: 'outcome', outcome: output.outcome });
        this.#turn.decided = true;
      } else if (output.kind === 'sample' && output.quality === 'good') {
        const { channel, tUs, value } = output;
        this.#turn.points.push({ channel, run: this.#run, tUs, value });
      }
      this.#hooks.onOutput(output);
    }
    this.#finish(step);
    return step.outputs;
  }

  /** In a gap: links and clock anchors are few and stay in the record; the rest is only shown. */
  #show(input: NewInput, tUs: number): readonly Output[] {
    const gap = this.#gap;
    if (gap === null) return [];
    const shown = { ...input, seq: this.#seq, tUs } as Input;
    if (input.kind === 'link' || input.kind === 'wall') {
      gap.shadow = this.#pipeline.step(gap.shadow, shown).state;
      return this.#keep(input, tUs);
    }
    gap.frames += input.kind === 'frame' ? 1 : 0;
    this.#hooks.onInput(shown);
    const step = this.#pipeline.step(gap.shadow, shown);
    gap.shadow = step.state;
    const outputs = step.outputs.filter((output) => output.kind !== 'outcome');
    for (const output of outputs) this.#hooks.onOutput(output);
    this.#finish(step);
    return outputs;
  }

  /** Admitted and not yet on disk, this turn's included. */
  #waiting(): { entries: number; bytes: number } {
    const { entries, bytes } = this.#journal.backlog();
    return { entries: entries + this.#turn.entries.length, bytes };
  }

  #beginGap(tUs: number): void {
    this.#keep({ kind: 'gap', cause: 'journal-behind', lostUs: 0, lostFrames: 0, ongoing: true }, tUs);
    this.#gap = { fromUs: tUs, frames: 0, shadow: structuredClone(this.#state as State) };
    this.#hooks.onRecording(false);
  }

  #endGap(tUs: number): void {
    const { fromUs, frames } = this.#gap as { fromUs: number; frames: number };
    this.#gap = null;
    this.#hooks.onRecording(true);
    this.#keep({ kind: 'gap', cause: 'journal-behind', lostUs: tUs - fromUs, lostFrames: frames, ongoing: false }, tUs);
  }

  #finish({ wakeAtUs }: Step): void {
    if (wakeAtUs !== null) this.#wakeAt(wakeAtUs);
    if (this.#turn.ending) return;
    this.#turn.ending = true;
    this.#clock.endOfTurn(() => this.#endTurn());
  }

  /** One timer, set to the earliest time asked for; a later wish waits until it has gone off. */
  #wakeAt(atUs: number): void {
    if (this.#wake !== null && this.#wake.atUs <= atUs) return;
    this.#wake?.cancel();
    const cancel = this.#clock.at(atUs, () => {
      this.#wake = null;
      this.admit({ kind: 'tick' });
    });
    this.#wake = { atUs, cancel };
  }

  #tryAgain(): void {
    if (!this.#refused || this.#closed) return;
    this.#retry = this.#clock.at(this.#clock.nowUs() + RETRY_EVERY_US, () => {
      this.#journal.flush();
      this.#tryAgain();
    });
  }

  #endTurn(): void {
    const { entries, points, decided } = this.#turn;
    this.#turn = emptyTurn();
    if (entries.length === 0) return;
    this.#journal.append(this.#run, entries, points, decided);
    if (decided || this.#flush !== null) return;
    this.#flush = this.#clock.at(this.#clock.nowUs() + FLUSH_EVERY_US, () => {
      this.#flush = null;
      this.#journal.flush();
    });
  }
}

function emptyTurn() {
  return { entries: [], points: [], decided: false, ending: false };
}
