/** The newest events of the record, asked of the bench page by page. */
import type { EventMessage } from '../feed/messages.ts';
import type { Desk } from './desk.ts';

const PAGE = 100;

export interface Past {
  /** Newest first. */
  readonly events: readonly EventMessage[];
  /** There are earlier ones. */
  readonly more: boolean;
}

/** The newest `pages` × 100 up to `lastEvent`; null where the bench does not answer. */
export async function pastOf(desk: Desk, lastEvent: number, pages: number): Promise<Past | null> {
  const since = Math.max(0, lastEvent - pages * PAGE);
  const events: EventMessage[] = [];
  for (let from = since; from < lastEvent; from += PAGE) {
    const found = await desk.events(from, PAGE);
    if (found === null) return null;
    events.push(...found);
  }
  return { events: events.filter(({ outcome }) => outcome.event <= lastEvent).reverse(), more: since > 0 };
}
