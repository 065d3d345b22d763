/** Questions that several parts of the page ask of the view: what state to show, and whether a value may pass as live. */
import type { Live } from '../feed/messages.ts';
import type { LastReading } from './marks.ts';
import type { View } from './state.ts';
import { gateName, WORDS } from './words.ts';

export type Gate = Live['gates'][number];
export type Face = 'ready' | 'wait' | 'lost' | 'connecting';

/** A single wild value is set aside by the bench and not worth a word; longer than this it is. */
const DOUBT_MS = 1000;

/** Freshness of one shown value. */
export interface Freshness {
  readonly known: boolean;
  readonly old: boolean;
  /** Seconds; null where there never was a value. */
  readonly ageS: number | null;
  readonly quality: 'good' | 'suspect' | 'bad';
  readonly reason: string | null;
}

/** Which of the four faces the large state wears. */
export function face(view: View): Face {
  if (view.link === 'connecting') return 'connecting';
  if (view.link === 'lost' || view.live === null) return 'lost';
  return view.live.ready ? 'ready' : 'wait';
}

/** Shut gates, the one that holds everything up first: in the order in which the house checks them. */
export function shutGates(live: Live): readonly Gate[] {
  const order = Object.keys(WORDS.gateNames);
  return live.gates.filter((g) => !g.open).sort((a, b) => order.indexOf(a.id) - order.indexOf(b.id));
}

/** What screen readers are told, once a change: no countdown in it. */
export function announcement(view: View): string {
  const shown = face(view);
  const { word, rest } = WORDS.state[shown];
  const first = shown === 'wait' && view.live !== null ? shutGates(view.live)[0] : undefined;
  return first === undefined ? `${word} ${rest}.` : `${word} ${rest}. ${WORDS.waitingFor}: ${gateName(first.id)}.`;
}

/**
 * A value is old when the bench says so, when it is older than three expected intervals (and 0.6 s), or when nothing is heard: the
 * time since the last message counts as age. Short intervals get a second of grace for the journey only.
 */
export function freshness(view: View, channel: string, nowMs: number): Freshness {
  const value = view.live?.channels[channel];
  if (value === undefined) return { known: false, old: true, ageS: null, quality: 'good', reason: null };
  const sinceS = view.heardAtMs === null ? 0 : Math.max(0, (nowMs - view.heardAtMs) / 1000);
  const intervalS = view.bench?.channels.find((c) => c.id === channel)?.intervalS ?? Number.POSITIVE_INFINITY;
  const limitS = Math.max(3 * intervalS, 0.6);
  // What is shown is the last good value: bad ones coming in do not keep it young.
  const doubtMs = nowMs - (view.doubtSinceMs[channel] ?? nowMs);
  const ageS = Math.max(value.ageS + sinceS, doubtMs / 1000);
  const old = view.link !== 'live' || value.stale || value.ageS > limitS || ageS > Math.max(limitS, value.ageS + 1);
  if (doubtMs < DOUBT_MS) return { known: true, old, ageS, quality: 'good', reason: null };
  return { known: true, old, ageS, quality: value.quality, reason: value.reason };
}

/** The older and the worse of two: the level at reference temperature rests on both channels. */
export function together(a: Freshness, b: Freshness): Freshness {
  const ageS = a.ageS === null || b.ageS === null ? null : Math.max(a.ageS, b.ageS);
  const rank = { good: 0, suspect: 1, bad: 2 };
  const worse = rank[b.quality] > rank[a.quality] ? b : a;
  return { known: a.known && b.known, old: a.old || b.old, ageS, quality: worse.quality, reason: worse.reason };
}

/** The channel that the reading waits for a value of: the temperature first, as the bench asks. Null where none is old. */
export function staleChannel({ bench, live }: View): string | null {
  if (bench === null || live === null) return null;
  const asked = [bench.temperatureChannel, bench.levelChannel];
  return asked.find((id) => live.channels[id]?.stale !== false) ?? null;
}

/** The reading of the spell that runs; null where none was taken in it yet. */
export function takenInSpell({ lastReading, spells, live }: View): LastReading['reading'] | null {
  if (live === null || lastReading === null) return null;
  const since = spells.at(-1)?.fromMs ?? Date.parse(live.utc);
  return Date.parse(lastReading.utc) >= since ? lastReading.reading : null;
}
