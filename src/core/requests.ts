/** What people ask for, in the one envelope that every way in uses. */
import type { TargetAsked } from './match/verdict.ts';

export const AMOUNT_KINDS = ['in', 'out', 'spilled', 'left'] as const;
export type AmountKind = (typeof AMOUNT_KINDS)[number];

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
  /** With a procedure, by its id. `machineType`: what the shop calls machines of this kind. */
  | {
      readonly type: 'start-job';
      readonly label: string;
      readonly procedure?: string;
      readonly machineType?: string;
      readonly fields?: Readonly<Record<string, string>>;
    }
  /** Ticks of a list, or that a step is done. `photos`: by the SHA-256 of their bytes. */
  | {
      readonly type: 'confirm';
      readonly step: string;
      readonly ticks: readonly string[];
      readonly note?: string;
      readonly photos?: readonly string[];
    }
  /** A value that the procedure asks for, quantities in the unit inside. `override`: why another one than expected. */
  | {
      readonly type: 'enter';
      readonly name: string;
      readonly value: number | string;
      readonly override?: string;
      readonly corrects?: number;
    }
  /** Fluid that went in, came out, was spilled or left behind, in the unit of the measure; 0 takes back what is corrected. */
  | {
      readonly type: 'record-amount';
      readonly kind: AmountKind;
      readonly amount: number;
      readonly measure: string;
      readonly tC: number;
      readonly corrects?: number;
    }
  | { readonly type: 'answer'; readonly step: string; readonly answer: string; readonly note?: string }
  | { readonly type: 'skip-step'; readonly step: string; readonly reason: string }
  | { readonly type: 'go-back'; readonly to: string; readonly reason: string }
  /** It was started or stopped outside the step that says so. */
  | { readonly type: 'engine'; readonly running: boolean }
  | { readonly type: 'pause-job'; readonly reason: string }
  | { readonly type: 'resume-job' }
  /** What the next readings of the job are held against. */
  | { readonly type: 'set-target'; readonly target: TargetAsked }
  /** A verdict that this bench cannot settle is taken as good, for a reason. */
  | { readonly type: 'accept'; readonly reason: string }
  /** `unfinished`: why it is closed although steps are left. */
  | { readonly type: 'close-job'; readonly unfinished?: string }
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
  'no-procedure',
  'no-such-procedure',
  'field-missing',
  'other-step',
  'step-forbids',
  'blocked',
  'no-such-step',
  'no-such-tick',
  'no-such-answer',
  'no-such-entry',
  'no-such-measure',
  'no-such-photo',
  'entries-missing',
  'mismatch',
  'reason-missing',
  'steps-left',
  'paused',
  'not-paused',
  'engine-off',
  'no-such-alarm',
  'nothing-to-acknowledge',
  'no-reason',
  'shelving-time',
  'not-shelved',
] as const;
export type Refusal = (typeof REFUSALS)[number];
