/** Where a client left off, as it says in its query, and whether it can be told what it missed. */
import type { ServerMessage } from './messages.ts';

/** More missed events than this are not replayed. */
export const MOST_REPLAY = 10_000;

export interface Since {
  /** Number of the last event that it had. */
  readonly event: number;
  /** The journal that the number belongs to; null when it did not say. */
  readonly journal: string | null;
}

/** Null when the query names no event; undefined when it makes no sense. */
export function readSince(url: string): Since | null | undefined {
  const query = new URLSearchParams(url.split('?')[1] ?? '');
  const [since, ...more] = query.getAll('since');
  if (since === undefined) return null;
  if (more.length > 0 || !/^\d{1,15}$/.test(since)) return undefined;
  return { event: Number(since), journal: query.get('journal') };
}

/** Null when everything after `since` can be sent. */
export function cannotReplay(since: Since, journal: string, lastEvent: number): ServerMessage | null {
  const answer = { type: 'cannot-replay', since: since.event, lastEvent } as const;
  // Nothing received so far (0) needs no journal to be understood.
  if (since.journal === null ? since.event > 0 : since.journal !== journal)
    return { ...answer, why: 'other-journal', words: 'These numbers are of another journal. Start from the snapshot.' };
  if (since.event > lastEvent)
    return { ...answer, why: 'ahead', words: 'This number is not given yet. Start from the snapshot.' };
  if (lastEvent - since.event > MOST_REPLAY)
    return {
      ...answer,
      why: 'too-many',
      words: `More than ${MOST_REPLAY} events were missed. Start from the snapshot; GET /api/events has them in pages.`,
    };
  return null;
}
