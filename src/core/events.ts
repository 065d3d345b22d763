/**
 * The two closed unions of the house: everything that can change a decision comes in as an `Input`, everything the
 * core decides goes out as an `Output`. Inputs and outcomes are what the journal keeps.
 * A change of shape here is a new SCHEMA_VERSION and a journal migration; a change of mathematics is a new
 * ALGORITHM_VERSION (see version.ts).
 */

import type { AlarmOutcome, StandingAlarm } from './alarms/standing.ts';
import type { AppliedCertificate } from './calibration/certificate.ts';
import type { ZeroCheck } from './calibration/zero-check.ts';
import type { Carried } from './carried.ts';
import type { SlopeOutcome } from './compensation/description.ts';
import type { BenchDescription } from './description.ts';
import type { ResponsePrior } from './dosing/response.ts';
import type { ProcedureDescription } from './job/procedure.ts';
import type { JobOutcome } from './job/progress.ts';
import type { MachineOutcome } from './machine.ts';
import type { ReadingBasis } from './match/difference.ts';
import type { Target, TargetAsked, Verdict } from './match/verdict.ts';
import type { ActionBody, ActionRequest, Refusal, Role } from './requests.ts';
import type { SteadyNumbers } from './steady-numbers.ts';
import type { BudgetLine } from './uncertainty/line.ts';
import type { LevelWords } from './uncertainty/words.ts';

export * from './requests.ts';
export type { AlarmOutcome, BudgetLine, Carried, ReadingBasis, StandingAlarm, Target, TargetAsked, Verdict };

/** Place and time of an input: one sequence over the whole journal, integer µs of a monotonic clock since the run began. */
export interface Stamp {
  readonly seq: number;
  readonly tUs: number;
}

// ---------------------------------------------------------------- inputs

export type Input = Stamp &
  (
    | RunStart
    | WallAnchor
    | LinkChange
    | Frame
    | Discard
    | WriteResult
    | Gap
    | { readonly kind: 'tick' }
    | ({ readonly kind: 'action' } & ActionRequest)
  );

export type InputOf<K extends Input['kind']> = Extract<Input, { kind: K }>;

/** A process start (or a changed bench): everything before it is closed, only `carried` comes along. */
export interface RunStart {
  readonly kind: 'run-start';
  readonly run: number;
  readonly schema: number;
  readonly algorithm: number;
  readonly software: string;
  readonly bench: BenchDescription;
  /** SHA-256 of each driver's source, by driver name. */
  readonly drivers: Readonly<Record<string, string>>;
  /** Digest of a probe vector of the mathematical functions used, to tell a different platform from a fault. */
  readonly numerics: string;
  /** Certificates of the bench's own instruments, by channel; absent in records of before there were any. */
  readonly calibrations?: readonly AppliedCertificate[];
  /** What a job may follow; absent in records of before there were any. */
  readonly procedures?: readonly ProcedureDescription[];
  readonly carried: Carried;
}

/** Wall clock at this stamp: decides calendar facts only, never anything about a signal. */
export interface WallAnchor {
  readonly kind: 'wall';
  readonly utcMs: number;
  /** IANA name, for example Europe/Lisbon. */
  readonly zone: string;
  readonly offsetMin: number;
  readonly cause: 'start' | 'hourly' | 'step';
}

export const LINK_STATES = ['opening', 'open', 'closed'] as const;
export type LinkState = (typeof LINK_STATES)[number];

/** Why a link is in its state: a closed list; words for each are in errors.ts. */
export const LINK_REASONS = [
  'starting',
  'connected',
  'unplugged',
  'not-found',
  'busy',
  'forbidden',
  'not-a-device',
  'other-device',
  'ambiguous',
  'refused',
  'unreachable',
  'timed-out',
  'remote-closed',
  'mute',
  'resumed',
  'stopped',
  'io-error',
  // by Bluetooth
  'no-bluetooth',
  'radio-off',
  'not-in-range',
  'link-lost',
  'lacks-value',
] as const;
export type LinkReason = (typeof LINK_REASONS)[number];

export interface LinkChange {
  readonly kind: 'link';
  readonly instrument: string;
  readonly state: LinkState;
  readonly reason: LinkReason;
  /** Counts the connections of this instrument in this run, from 1. */
  readonly connection: number;
  /** Evidence for people (system message), never branched on. */
  readonly detail: string;
}

/** One undivided piece of device output: a line without its end, a Modbus reply, a BLE value. */
export interface Frame {
  readonly kind: 'frame';
  readonly instrument: string;
  readonly connection: number;
  readonly bytes: Uint8Array;
  /** Sequence number of the `send` output that it answers; 0 where it answers none. */
  readonly request: number;
}

export const DISCARD_REASONS = [
  // by the link
  'first-partial',
  'cut-tail',
  'too-long',
  // by the driver
  'no-match',
  'bad-number',
  'wrong-columns',
  'empty',
  'non-text',
  'checksum',
  'unasked',
  'no-answer',
  'driver-failed',
  // by the driver, in the words of the instrument's protocol
  'echo',
  'illegal-function',
  'illegal-address',
  'illegal-value',
  'device-failure',
  'device-busy',
  'gateway-path',
  'gateway-target',
] as const;
export type DiscardReason = (typeof DISCARD_REASONS)[number];

/** Bytes that never became a frame. */
export interface Discard {
  readonly kind: 'discard';
  readonly instrument: string;
  readonly connection: number;
  readonly reason: DiscardReason;
  /** How many bytes. */
  readonly count: number;
  /** The first of them, at most 64. */
  readonly bytes: Uint8Array;
}

export interface WriteResult {
  readonly kind: 'write-result';
  readonly instrument: string;
  readonly request: number;
  readonly ok: boolean;
  readonly detail: string;
}

/** A stretch of which nothing is known. Windows start anew. */
export interface Gap {
  readonly kind: 'gap';
  readonly cause: 'clock-jump' | 'journal-behind';
  /** µs lost by the monotonic clock (clock-jump), or spent unrecorded (journal-behind). */
  readonly lostUs: number;
  /** Frames shown live but not kept. */
  readonly lostFrames: number;
  /** True while it lasts: readings are refused. */
  readonly ongoing: boolean;
}

// ---------------------------------------------------------------- outputs

export type Output = Sample | Discarded | Status | Send | { readonly kind: 'outcome'; readonly outcome: Outcome };

export type Quality = 'good' | 'suspect' | 'bad';
export const QUALITY_REASONS = [
  'out-of-range',
  'outlier',
  'reported',
  'sentinel',
  'echo-weak',
  'echo-lost',
  'second-echo',
  'ring-down',
  // flags of the laws
  'broken-loop',
  'failure-current',
  'open-circuit',
  'short-circuit',
  'ambiguous',
  'no-context',
  'context-out-of-range',
] as const;
export type QualityReason = (typeof QUALITY_REASONS)[number];

/** A decoded number of one channel, in the channel's inside unit. */
export interface Sample {
  readonly kind: 'sample';
  readonly channel: string;
  readonly tUs: number;
  /** The frame it came from. */
  readonly seq: number;
  readonly value: number;
  readonly quality: Quality;
  readonly reason: QualityReason | null;
}

/** A frame that gave no number. Counted by reason; never an error. */
export interface Discarded {
  readonly kind: 'discarded';
  readonly instrument: string;
  readonly reason: DiscardReason;
  readonly count: number;
}

/** Bytes for an instrument. `request` is the sequence number of the input that caused it. */
export interface Send {
  readonly kind: 'send';
  readonly instrument: string;
  readonly bytes: Uint8Array;
  readonly request: number;
}

/** Latest values for the eye: unnumbered, not kept, may be skipped. */
export interface Status {
  readonly kind: 'status';
  readonly tUs: number;
  readonly ready: boolean;
  readonly gates: readonly Gate[];
  /** Level at the reference temperature as it stands, whether or not it may be read yet; null without data. */
  readonly levelMm: number | null;
  /** The temperature that it is brought to. */
  readonly referenceC: number;
  readonly temperatureC: number | null;
  /** Litres in the vessel at the level and temperature as they are; null without a vessel, or outside it. */
  readonly volumeL: number | null;
}

export const GATE_IDS = ['fresh', 'record', 'window', 'answers', 'air', 'calm', 'settled'] as const;
export type GateId = (typeof GATE_IDS)[number];

/** One condition of readiness. */
export interface Gate {
  readonly id: GateId;
  readonly open: boolean;
  /** Why it stands so, as a code; `words` says the same in English. */
  readonly why: string;
  readonly words: string;
  /** What was measured, and the limit it is held against, both in `unit` (UCUM); null where there is none yet. */
  readonly value: number | null;
  readonly limit: number | null;
  readonly unit: string;
  /** Seconds until it is expected to open; null where it cannot be told. */
  readonly toGo: TimeToGo | null;
  /** Seconds until an open one is expected to shut; null where it cannot be told. */
  readonly shutsIn: TimeToGo | null;
}

export interface TimeToGo {
  readonly s: number;
  readonly lowS: number;
  /** Null: no upper bound can be given. */
  readonly highS: number | null;
}

// ---------------------------------------------------------------- outcomes (durable, numbered)

/** What was decided, kept for ever. `event` counts over the whole journal, from 1. */
export type Outcome = Stamp & {
  readonly event: number;
  readonly run: number;
  readonly algorithm: number;
} & OutcomeBody;

export type OutcomeBody =
  | {
      readonly kind: 'ready';
      readonly ready: boolean;
      readonly shut: readonly GateId[];
      /** What the level does; null where too little is known of it. */
      readonly numbers: SteadyNumbers | null;
    }
  | { readonly kind: 'reading'; readonly reading: Reading }
  | ActionOutcome
  | {
      readonly kind: 'job';
      readonly change: 'started' | 'paused' | 'resumed' | 'closed';
      readonly job: Job;
      /** What it follows, as it stood when it was started; absent where it follows nothing. */
      readonly begins?: { readonly procedure: ProcedureDescription; readonly prior: ResponsePrior | null };
      /** Why it is paused, or closed with steps left. */
      readonly reason?: string | null;
    }
  | JobOutcome
  | { readonly kind: 'target'; readonly target: TargetAsked }
  | { readonly kind: 'verdict'; readonly verdict: Verdict }
  | AlarmOutcome
  | MachineOutcome
  | SlopeOutcome
  | { readonly kind: 'zero-check'; readonly check: ZeroCheck }
  | { readonly kind: 'fault'; readonly source: string; readonly code: string; readonly detail: string };

export type OutcomeOf<K extends Outcome['kind']> = Extract<Outcome, { kind: K }>;

export interface ActionOutcome {
  readonly kind: 'action';
  readonly actionId: string;
  readonly actor: string;
  readonly role: Role;
  readonly body: ActionBody;
  readonly accepted: boolean;
  readonly refusal: Refusal | null;
  /** The revision after it. */
  readonly revision: number;
}

export interface Job {
  readonly id: number;
  readonly label: string;
  readonly readings: number;
  /** The temperature that its readings are brought to; null until its first reading, where that decides. */
  readonly referenceC: number | null;
  /** What it follows; null: nothing. Absent in records of before there were any. */
  readonly procedure?: {
    readonly id: string;
    readonly title: string;
    readonly version: string;
    readonly digest: string;
  } | null;
  /** What the shop calls machines of this kind. */
  readonly machineType?: string | null;
  /** Of customer and machine, by the procedure's names. */
  readonly fields?: Readonly<Record<string, string>>;
}

/** What made a reading: how it was asked for. */
export type ReadingCause = 'ready' | 'asked' | 'anyway';

/** Level at the reference temperature with expanded uncertainty. */
export interface Reading {
  /** Counts the readings of the journal, from 1. */
  readonly id: number;
  readonly cause: ReadingCause;
  readonly job: number | null;
  readonly levelMm: number;
  readonly referenceC: number;
  /** Expanded uncertainty: coverage factor × combined standard uncertainty, for about 95 %. */
  readonly U95Mm: number;
  readonly coverageFactor: number;
  readonly budget: readonly BudgetLine[];
  /** In English, as it is told. */
  readonly words: LevelWords;
  readonly basis: ReadingBasis;
  /** As measured, before compensation. */
  readonly rawLevelMm: number;
  readonly temperatureC: number;
  /** Litres in the vessel at that level and temperature; null without a vessel, or outside it. */
  readonly volumeL: number | null;
  /** Its expanded uncertainty, for about 95 %. */
  readonly volumeU95L: number | null;
  readonly machineState: string;
  /** Samples used, and set aside as outliers. */
  readonly used: number;
  readonly setAside: number;
  /** The frames that it rests on, by sequence number. */
  readonly firstSeq: number;
  readonly lastSeq: number;
  readonly fromUs: number;
  readonly toUs: number;
}
