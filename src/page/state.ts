/**
 * What the page knows, folded from what it hears. Pure: `reduce(view, happening)` gives the next view; times are handed
 * in (`atMs`, the page's own monotonic clock). Nothing here decides anything about a measurement.
 */
import type { ActionBody } from '../core/events.ts';
import type { ActionResult, EventMessage, Hello, Live, ServerMessage, Snapshot } from '../feed/messages.ts';
import { alarmsAfter } from './alarm-fold.ts';
import { begin, end, type LastReading, type Marks, type Spells, withMark, withPast } from './marks.ts';
import { type Missed, missed, type Notice, stillMissed } from './news.ts';

/** The protocol that this page speaks; the type keeps it in step with the feed. */
export const PROTOCOL: Hello['protocol'] = 1;

export type Asking = {
  readonly actionId: string;
  readonly type: ActionBody['type'];
  readonly status: 'sent' | 'accepted' | 'refused' | 'unanswered';
  /** Code of a refusal or of an error of the feed. */
  readonly refusal: string | null;
  /** What the bench said of it, in English. */
  readonly words: string;
};

export type Numbers = NonNullable<Extract<EventMessage['outcome'], { kind: 'ready' }>['numbers']>;

export interface View {
  readonly link: 'connecting' | 'live' | 'lost';
  /** Page clock of the last live values, and of the moment the link came to its state. */
  readonly heardAtMs: number | null;
  readonly linkAtMs: number;
  readonly hello: Hello | null;
  readonly otherVersion: boolean;
  /** Newest durable event folded in; null before the first snapshot. */
  readonly lastEvent: number | null;
  readonly revision: number;
  readonly bench: Snapshot['bench'] | null;
  readonly live: Live | null;
  /** Channels whose newest value is not good, and since when (page clock). */
  readonly doubtSinceMs: Readonly<Record<string, number>>;
  readonly lastReading: LastReading | null;
  readonly job: Snapshot['job'];
  /** How far the open job has come, where it follows a procedure. */
  readonly progress: Snapshot['progress'];
  readonly machineTypes: Snapshot['machineTypes'];
  readonly lastStart: Snapshot['lastStart'] | null;
  readonly machine: Snapshot['machine'] | null;
  /** Of the open job. */
  readonly target: Snapshot['target'];
  readonly verdict: Snapshot['verdict'];
  readonly alarms: Snapshot['alarms'];
  readonly fault: { readonly source: string; readonly code: string; readonly detail: string } | null;
  /** Readings and ready spells seen, oldest first, for the charts. */
  readonly marks: Marks;
  readonly spells: Spells;
  /** When the clock of the present run stood at 0, by its newest word; null before the first. */
  readonly startMs: number | null;
  readonly notice: Notice | null;
  /** What happened while the connection was away; null once it was seen. */
  readonly missed: Missed | null;
  /** What the level did when ready last changed. */
  readonly numbers: { readonly utc: string; readonly numbers: Numbers } | null;
  readonly asking: Asking | null;
}

export type Happening =
  | { readonly kind: 'heard'; readonly message: ServerMessage; readonly atMs: number }
  | { readonly kind: 'lost'; readonly atMs: number }
  | { readonly kind: 'past'; readonly events: readonly EventMessage[] }
  /** The technician has seen what was missed. */
  | { readonly kind: 'seen' }
  | { readonly kind: 'asked'; readonly actionId: string; readonly type: ActionBody['type'] };

export const START: View = {
  link: 'connecting',
  heardAtMs: null,
  linkAtMs: 0,
  hello: null,
  otherVersion: false,
  lastEvent: null,
  revision: 0,
  bench: null,
  live: null,
  doubtSinceMs: {},
  lastReading: null,
  job: null,
  progress: null,
  machineTypes: [],
  lastStart: null,
  machine: null,
  target: null,
  verdict: null,
  alarms: [],
  fault: null,
  marks: [],
  spells: [],
  startMs: null,
  notice: null,
  missed: null,
  numbers: null,
  asking: null,
};

/** Where to take up again: the query for the next connection, null if there is nothing to take up. */
export function resumeFrom(view: View): { readonly since: number; readonly journal: string } | null {
  if (view.lastEvent === null || view.hello === null) return null;
  return { since: view.lastEvent, journal: view.hello.journal };
}

export function reduce(view: View, happening: Happening): View {
  switch (happening.kind) {
    case 'heard':
      return heard(view, happening.message, happening.atMs);
    case 'asked':
      return {
        ...view,
        asking: { actionId: happening.actionId, type: happening.type, status: 'sent', refusal: null, words: '' },
      };
    case 'seen':
      return { ...view, missed: null };
    case 'past':
      return {
        ...view,
        ...withPast(happening.events, view.marks, view.spells),
        numbers: view.numbers ?? lastNumbers(happening.events),
      };
    case 'lost': {
      const asking = view.asking?.status === 'sent' ? { ...view.asking, status: 'unanswered' as const } : view.asking;
      if (view.link === 'lost') return { ...view, asking };
      // Before the first snapshot there is nothing to lose: the page is still looking for the bench.
      const link = view.live === null ? 'connecting' : 'lost';
      return { ...view, link, linkAtMs: happening.atMs, asking, missed: stillMissed(view.missed, view.heardAtMs) };
    }
  }
}

function heard(view: View, message: ServerMessage, atMs: number): View {
  switch (message.type) {
    case 'hello':
      return onHello(view, message);
    case 'snapshot':
      return onSnapshot(view, message, atMs);
    case 'job':
      return { ...view, job: message.job, progress: message.progress };
    case 'live': {
      const { type: _, ...live } = message;
      return view.bench === null ? view : { ...onLive(view, live, atMs), heardAtMs: atMs };
    }
    case 'event':
      return onEvent(view, message);
    case 'cannot-replay':
      return {
        ...view,
        spells: end(view.spells, Date.parse(view.live?.utc ?? '')),
        notice: message.why === 'other-journal' ? null : { kind: 'missed-too-much' },
      };
    case 'action-result':
      return onResult(view, message);
    case 'error':
      // Errors carry no action id; with one question open it is the answer to that.
      if (view.asking?.status !== 'sent') return { ...view, notice: { kind: 'said', words: message.words } };
      return { ...view, asking: { ...view.asking, status: 'refused', refusal: message.code, words: message.words } };
    default:
      return view;
  }
}

function onHello(view: View, hello: Hello): View {
  const otherVersion = (hello.protocol as number) !== PROTOCOL;
  if (view.hello === null || view.hello.journal === hello.journal) return { ...view, hello, otherVersion };
  // Numbers of another journal mean nothing here: only the question still open is kept.
  return { ...START, link: view.link, linkAtMs: view.linkAtMs, asking: view.asking, hello, otherVersion };
}

function onSnapshot(view: View, snapshot: Snapshot, atMs: number): View {
  const { bench, live, lastReading, job, progress, machineTypes, lastStart } = snapshot;
  const { machine, target, verdict, alarms } = snapshot;
  const next: View = {
    ...view,
    link: 'live',
    linkAtMs: view.link === 'live' ? view.linkAtMs : atMs,
    heardAtMs: atMs,
    missed: view.missed === null ? null : { ...view.missed, toMs: view.missed.toMs ?? atMs },
    lastEvent: snapshot.event,
    revision: snapshot.revision,
    bench,
    lastReading,
    job,
    progress,
    machineTypes,
    lastStart,
    machine,
    target,
    verdict,
    alarms,
    marks: lastReading === null ? view.marks : withMark(view.marks, lastReading),
  };
  return onLive(next, live, atMs);
}

function onLive(view: View, live: Live, atMs: number): View {
  const doubtSinceMs: Record<string, number> = {};
  for (const [id, { quality }] of Object.entries(live.channels))
    if (quality !== 'good') doubtSinceMs[id] = view.doubtSinceMs[id] ?? atMs;
  const { spells, startMs } = brokenAt(view, live);
  return { ...view, live, doubtSinceMs, startMs, spells: (live.ready ? begin : end)(spells, Date.parse(live.utc)) };
}

/** A run's own clock and the wall clock go apart by more than this only when it stood still, or another run began. */
const APART_MS = 2000;

/** What ran when the bench went off, or slept, lasted until its last word: nobody knows what was in between. */
function brokenAt(view: View, { utc, tUs }: { readonly utc: string; readonly tUs: number }) {
  const startMs = Date.parse(utc) - tUs / 1000;
  const broken = view.startMs !== null && Math.abs(startMs - view.startMs) > APART_MS;
  return { startMs, spells: broken ? end(view.spells, Date.parse(view.live?.utc ?? '')) : view.spells };
}

function onEvent(view: View, message: EventMessage): View {
  const { outcome, utc } = message;
  if (view.lastEvent !== null && outcome.event <= view.lastEvent) return view;
  const next = {
    ...view,
    ...brokenAt(view, { utc, tUs: outcome.tUs }),
    lastEvent: outcome.event,
    missed: missed(view, message),
  };
  switch (outcome.kind) {
    case 'reading': {
      const lastReading = { event: outcome.event, utc, reading: outcome.reading };
      const counts = view.job !== null && view.job.id === outcome.reading.job;
      const job = counts ? { ...view.job, readings: view.job.readings + 1 } : view.job;
      return { ...next, lastReading, job, marks: withMark(view.marks, lastReading) };
    }
    case 'ready':
      return {
        ...next,
        spells: (outcome.ready ? begin : end)(next.spells, Date.parse(utc)),
        numbers: outcome.numbers === null ? view.numbers : { utc, numbers: outcome.numbers },
      };
    case 'action': {
      const revised = { ...next, revision: outcome.revision };
      // The answer to a question whose connection went before it came.
      if (view.asking?.status !== 'unanswered' || view.asking.actionId !== outcome.actionId) return revised;
      const status = outcome.accepted ? 'accepted' : 'refused';
      return { ...revised, asking: { ...view.asking, status, refusal: outcome.refusal, words: '' } };
    }
    case 'job':
      if (outcome.change === 'paused' || outcome.change === 'resumed') return next;
      // How far it has come follows in a message of its own.
      return {
        ...next,
        job: outcome.change === 'started' ? outcome.job : null,
        progress: null,
        target: null,
        verdict: null,
        lastStart:
          outcome.change === 'started'
            ? { procedure: outcome.job.procedure?.id ?? null, machineType: outcome.job.machineType ?? null }
            : view.lastStart,
      };
    case 'machine-type': {
      const { name } = outcome.machineType;
      return { ...next, machineTypes: [...new Set([...view.machineTypes, name])] };
    }
    case 'target':
      return { ...next, target: outcome.target, verdict: null };
    case 'verdict':
      return { ...next, verdict: outcome.verdict };
    case 'alarm':
      return { ...next, alarms: alarmsAfter(view.alarms, outcome, utc) };
    case 'machine': {
      const { machine, cause } = outcome;
      const notice: Notice | null =
        cause === 'stated' ? view.notice : { kind: 'circuit', state: machine.circuit ?? '' };
      return { ...next, machine, notice };
    }
    case 'slope':
      return { ...next, notice: { kind: 'slope', learned: outcome.learned, agrees: outcome.agrees } };
    case 'fault':
      return { ...next, fault: { source: outcome.source, code: outcome.code, detail: outcome.detail } };
    default:
      return next;
  }
}

function lastNumbers(events: readonly EventMessage[]): View['numbers'] {
  for (const { utc, outcome } of [...events].reverse())
    if (outcome.kind === 'ready' && outcome.numbers !== null) return { utc, numbers: outcome.numbers };
  return null;
}

function onResult(view: View, result: ActionResult): View {
  const revision = Math.max(view.revision, result.revision);
  if (view.asking === null || view.asking.actionId !== result.actionId) return { ...view, revision };
  const status = result.accepted ? 'accepted' : 'refused';
  return { ...view, revision, asking: { ...view.asking, status, refusal: result.refusal, words: result.words } };
}
