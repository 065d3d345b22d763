/** What the charts mark besides the values: readings, and spells in which the level could be read. Oldest first. */
import type { EventMessage, Snapshot } from '../feed/messages.ts';

const KEPT = 200;

export type LastReading = NonNullable<Snapshot['lastReading']>;

/** A stretch in which the level could be read; `toMs` null while it lasts. */
export interface Spell {
  readonly fromMs: number;
  readonly toMs: number | null;
}

export type Spells = readonly Spell[];
export type Marks = readonly LastReading[];

export function withMark(marks: Marks, mark: LastReading): Marks {
  if (marks.some((m) => m.event === mark.event)) return marks;
  return [...marks, mark].sort((a, b) => a.event - b.event).slice(-KEPT);
}

/** Begins a spell. One that runs already began then, if that was earlier: live values may be faster than the record. */
export function begin(spells: Spells, fromMs: number): Spells {
  const last = spells.at(-1);
  if (last === undefined || last.toMs !== null) return [...spells, { fromMs, toMs: null }].slice(-KEPT);
  const before = spells.at(-2)?.toMs ?? Number.NEGATIVE_INFINITY;
  return fromMs < last.fromMs && fromMs >= before ? [...spells.slice(0, -1), { fromMs, toMs: null }] : spells;
}

/** Ends the spell that runs, if one does. */
export function end(spells: Spells, toMs: number): Spells {
  const last = spells.at(-1);
  if (last === undefined || last.toMs !== null) return spells;
  return [...spells.slice(0, -1), { fromMs: last.fromMs, toMs: Math.max(last.fromMs, toMs || 0) }];
}

/** Marks and spells of the events before the page came, put before those it saw itself. */
export function withPast(
  events: readonly EventMessage[],
  marks: Marks,
  spells: Spells,
): { marks: Marks; spells: Spells } {
  let all = marks;
  let past: Spells = [];
  let before: EventMessage | undefined;
  for (const message of events) {
    const { outcome, utc } = message;
    // What ran when a run ended without a word lasted until its last word at most.
    if (before !== undefined && before.outcome.run !== outcome.run) past = end(past, Date.parse(before.utc));
    if (outcome.kind === 'reading') all = withMark(all, { event: outcome.event, utc, reading: outcome.reading });
    if (outcome.kind === 'ready') past = outcome.ready ? begin(past, Date.parse(utc)) : end(past, Date.parse(utc));
    before = message;
  }
  const [first, ...others] = spells;
  const running = past.at(-1);
  if (running === undefined || running.toMs !== null) return { marks: all, spells: [...past, ...spells].slice(-KEPT) };
  // A spell still running at the last past event is the first one that the page found running, or it just ended.
  const joined =
    first === undefined
      ? end(past, Date.parse(before?.utc ?? ''))
      : [...past.slice(0, -1), { ...first, fromMs: running.fromMs }];
  return { marks: all, spells: [...joined, ...others].slice(-KEPT) };
}
