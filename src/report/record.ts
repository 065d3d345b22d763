/** All that a report of a job tells, gathered; times in ms since 1970, values in inside units. */
import type { InputOf, OutcomeOf } from '../core/events.ts';
import type { DatedOutcome, EnvelopeBucket } from '../journal/contract.ts';
import type { Zone } from './times.ts';

export interface JobRecord {
  readonly journalId: string;
  /** Name of the journal's file. */
  readonly file: string;
  readonly id: number;
  readonly label: string;
  readonly startedUtcMs: number;
  /** Null while the job is open. */
  readonly closedUtcMs: number | null;
  readonly zone: Zone;
  /** The runs that the job went through, oldest first; at least one. */
  readonly runs: readonly RunOfJob[];
  /** From the start of the job to its close, in their order. */
  readonly outcomes: readonly DatedOutcome[];
  /** Alarms that were not normal when it began, each with its last change before. */
  readonly standing: readonly DatedAlarm[];
  /** Over the whole job; null where nothing was measured. */
  readonly overview: Chart | null;
  /** Around each reading, by its number. */
  readonly around: ReadonlyMap<number, Chart>;
  /** Photos that its steps name and that are here, by SHA-256. */
  readonly photos: ReadonlyMap<string, PhotoInRecord>;
  readonly checks: Checks;
  readonly madeBy: string;
  readonly madeUtcMs: number;
}

/** `base64` is null where the report would become too large by it. */
export interface PhotoInRecord {
  readonly type: string;
  readonly base64: string | null;
}

export interface DatedAlarm {
  readonly utcMs: number;
  readonly outcome: OutcomeOf<'alarm'>;
}

export interface RunOfJob {
  readonly run: number;
  readonly utcMs: number;
  readonly start: InputOf<'run-start'>;
}

/** Level and temperature as measured, good values only. */
export interface Chart {
  readonly fromUtcMs: number;
  readonly toUtcMs: number;
  readonly level: Series;
  readonly temperature: Series;
  /** Between the lines of the window a reading is allowed. */
  readonly window: { readonly lowC: number; readonly highC: number };
  readonly marks: readonly Mark[];
}

export interface Series {
  readonly channel: string;
  readonly buckets: readonly EnvelopeBucket[];
  /** A longer silence than this is a gap. */
  readonly gapMs: number;
}

/** A reading: the stretch of time that it rests on, and its mean level as measured. */
export interface Mark {
  readonly reading: number;
  readonly fromUtcMs: number;
  readonly toUtcMs: number;
  readonly rawLevelMm: number;
}

/** Each question has its own answer. */
export interface Checks {
  readonly chain: {
    readonly ok: boolean;
    readonly parts: number;
    readonly entries: number;
    readonly fault: string | null;
  };
  readonly recomputed: Recomputed;
  /** Of a sealed job; null for a journal. `fault` is null where it holds. */
  readonly signature: { readonly fingerprint: string; readonly fault: string | null } | null;
}

export interface Recomputed {
  /** 'nothing': no outcome to compare; 'unreadable': the frames cannot be read. */
  readonly answer: 'equal' | 'different' | 'nothing' | 'unreadable';
  /** Outcomes that came out equal, and how many of them are readings. */
  readonly outcomes: number;
  readonly readings: number;
  readonly inputs: number;
  /** What is different or why it cannot be read; empty where all is equal. */
  readonly detail: string;
  readonly remarks: readonly string[];
}
