/** Names for the parts of a job under way, as the feed gives them. */
import type { ActionBody } from '../../core/events.ts';
import type { Snapshot } from '../../feed/messages.ts';

export type JobProgress = NonNullable<Snapshot['progress']>;
export type NowStep = NonNullable<JobProgress['now']>;
export type Ask = NowStep['asks'][number];
export type Asked = JobProgress['asked'][number];
export type QuantityAsked = Extract<Asked, { of: 'quantity' }>;
export type Entry = JobProgress['entries'][number];
export type Made = JobProgress['told'][number];
export type Measure = JobProgress['measures'][number];
export type JobAdvice = NonNullable<NowStep['advice']>;
export type Block = NowStep['blocked'][number];
export type Hold = NowStep['holds'][number];
export type Quantity = Hold['quantity'];
export type AmountAsked = Extract<ActionBody, { type: 'record-amount' }>;

/** Entries and amounts in whose place another one stands by now. */
export function replaced(told: readonly { readonly corrects: number | null }[]): ReadonlySet<number> {
  return new Set(told.flatMap(({ corrects }) => (corrects === null ? [] : [corrects])));
}
