/**
 * Questions to an instrument that speaks only when asked, and which lines count as answers. Text carries no number that
 * says which question it answers, so a question counts only if the one before is accounted for (answered, in time or
 * late, or the first of the connection) and no answer has come out of turn for the length of a time limit. The answer to
 * any other question may still be that of an earlier one; it is thrown away, and brings both into step again.
 */
import type { Decoder } from '../core/decoder.ts';

export interface Questions {
  readonly bytes: Uint8Array;
  /** Time limit for an answer. */
  readonly withinUs: number;
  /** From the opening of the port to the first question. */
  readonly waitUs: number;
}

/** Plain data. */
export interface Asking {
  readonly next: 'open' | 'ask' | 'limit';
  /** When `next` happens. */
  readonly dueUs: number;
  /** Of the question that stands; null before the first. */
  readonly askedUs: number | null;
  readonly counts: boolean;
  readonly answered: boolean;
  readonly first: boolean;
  /** When an answer last came that did not count. */
  readonly strayUs: number | null;
}

export const NOTHING_ASKED: Asking = {
  next: 'open',
  dueUs: 0,
  askedUs: null,
  counts: false,
  answered: false,
  first: false,
  strayUs: null,
};

/** A line that reads as an answer has come: does it count? */
export function takeAnswer(asking: Asking, tUs: number): { readonly asking: Asking; readonly counts: boolean } {
  if (asking.askedUs === null) return { asking, counts: false };
  const inTime = asking.next === 'limit' && tUs <= asking.dueUs;
  const counts = inTime && asking.counts && !asking.answered;
  return { asking: { ...asking, answered: true, strayUs: counts ? asking.strayUs : tUs }, counts };
}

type Polled = ReturnType<NonNullable<Decoder<unknown, Asking>['poll']>>;

/**
 * What is due at `tUs`. The line is left alone for twice the time limit after a question without an answer, so that a
 * late one comes before the next question.
 */
export function pollAsking(before: Asking, tUs: number, questions: Questions, intervalUs: number): Polled {
  const { bytes, withinUs, waitUs } = questions;
  let asking: Asking = before.next === 'open' ? { ...before, next: 'ask', dueUs: tUs + waitUs } : before;
  if (tUs < asking.dueUs) return { state: asking, send: [], wakeAtUs: asking.dueUs };
  let silent = false;
  if (asking.next === 'limit' && asking.askedUs !== null) {
    silent = !asking.answered && !asking.first;
    asking = { ...asking, next: 'ask', dueUs: asking.askedUs + pauseUs(asking, withinUs, intervalUs) };
  }
  const items = silent ? ([{ kind: 'discarded', reason: 'no-answer' }] as const) : [];
  if (tUs < asking.dueUs) return { state: asking, send: [], wakeAtUs: asking.dueUs, items };
  const quiet = asking.strayUs === null || tUs >= asking.strayUs + withinUs;
  const question: Asking = {
    ...asking,
    next: 'limit',
    dueUs: tUs + withinUs,
    askedUs: tUs,
    counts: (asking.first || asking.answered) && quiet,
    answered: false,
    first: asking.askedUs === null,
  };
  return { state: question, send: [bytes], wakeAtUs: question.dueUs, items };
}

/** From a question to the next. The first one of a connection is repeated soon: the link takes its answer for a cut line. */
function pauseUs({ answered, first }: Asking, withinUs: number, intervalUs: number): number {
  if (first) return 2 * withinUs;
  return Math.max(intervalUs, answered ? withinUs : 2 * withinUs);
}
