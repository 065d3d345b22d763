import type { z } from 'zod';
import type {
  ActionResult,
  actionRequest,
  EventMessage,
  Hello,
  History,
  JobMessage,
  Live,
  Snapshot,
} from './messages.ts';

type ActionRequestMessage = z.infer<typeof actionRequest>;

/** What the feed server needs of the bench. */
export interface FeedSource {
  hello(): Hello;
  /** Announced (durable) state and the latest live values. */
  snapshot(): Snapshot;
  /** The open job after the newest durable event that moved it. */
  job(): JobMessage;
  live(): Live;
  /** Newest durable event number. */
  lastEvent(): number;
  /** Durable events after `since`, ascending, at most `limit`. */
  events(since: number, limit: number): Promise<readonly EventMessage[]>;
  history(channel: string, seconds: number, most: number): Promise<History | null>;
  /** Settles once the outcome is durable, or at once where it is refused before the core. */
  act(request: ActionRequestMessage): Promise<ActionResult>;
  /** `onEvents` when lastEvent() grew; `onLive` when live values changed (the server decides how often to send). */
  subscribe(listener: { onEvents(): void; onLive(): void }): () => void;
}
