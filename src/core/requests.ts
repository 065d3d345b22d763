/** What people ask for, in the one envelope that every way in uses. */
import type { TargetAsked } from './match/verdict.ts';

export const ROLES = ['viewer', 'technician', 'owner'] as const;
export type Role = (typeof ROLES)[number];

/** The one envelope, for page, command line, HTTP and WebSocket alike. */
export interface ActionRequest {
  readonly actionId: string;
  readonly actor: string;
  readonly role: Role;
  /** The `revision` that the actor was looking at; another one now, and the action is refused as stale. */
  readonly expectedRevision: number;
  readonly body: ActionBody;
}

export type ActionBody =
  /** `anyway`: the reason for which it is taken although not every gate is open. */
  | { readonly type: 'take-reading'; readonly anyway?: string }
  | { readonly type: 'note'; readonly text: string }
  /** A value read by the actor from another display, in the channel's inside unit. */
  | { readonly type: 'type-value'; readonly channel: string; readonly value: number }
  /** The state that the machine is in, in words of the bench. */
  | { readonly type: 'state-machine'; readonly state: string }
  | { readonly type: 'start-job'; readonly label: string }
  /** What the next readings of the job are held against. */
  | { readonly type: 'set-target'; readonly target: TargetAsked }
  /** A verdict that this bench cannot settle is taken as good, for a reason. */
  | { readonly type: 'accept'; readonly reason: string }
  | { readonly type: 'close-job' }
  /** The level sensor stands on a block: what it ought to show there, mm. */
  | { readonly type: 'check-zero'; readonly expectedMm: number }
  | { readonly type: 'acknowledge-alarm'; readonly alarm: string; readonly source: string }
  /** Silent for so long, for a reason. */
  | {
      readonly type: 'shelve-alarm';
      readonly alarm: string;
      readonly source: string;
      readonly forS: number;
      readonly reason: string;
    }
  | { readonly type: 'unshelve-alarm'; readonly alarm: string; readonly source: string };

export const REFUSALS = [
  'stale-revision',
  'role',
  'not-ready',
  'job-open',
  'no-job',
  'not-recording',
  'not-typed',
  'out-of-range',
  'no-such-state',
  'no-tolerance',
  'no-such-reading',
  'nothing-to-accept',
  'not-calm',
  'no-such-alarm',
  'nothing-to-acknowledge',
  'no-reason',
  'shelving-time',
  'not-shelved',
] as const;
export type Refusal = (typeof REFUSALS)[number];
