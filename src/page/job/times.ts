/** When events of the record were: the feed tells it page by page. */
import type { Desk } from '../desk.ts';

const PAGE = 200;
/** More pages than this are not worth the wait: the record itself tells the rest. */
const MOST_PAGES = 20;

/** UTC of those events, by number; those that the bench does not tell are missing. */
export async function timesOf(desk: Pick<Desk, 'events'>, events: readonly number[]): Promise<Map<number, string>> {
  const wanted = new Set(events);
  const found = new Map<number, string>();
  const last = Math.max(...events);
  let since = Math.min(...events) - 1;
  for (let pages = 0; pages < MOST_PAGES && since < last; pages++) {
    const told = await desk.events(Math.max(0, since), PAGE);
    const newest = told?.at(-1)?.outcome.event;
    if (told === null || newest === undefined) break;
    for (const { utc, outcome } of told) if (wanted.has(outcome.event)) found.set(outcome.event, utc);
    since = newest;
  }
  return found;
}
