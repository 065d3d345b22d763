/**
 * A procedure, resolved: the frozen result of reading its file. It is an input of the core (run start) and is kept in the
 * journal, so it holds plain data only. Quantities are in the units inside (°C, mm, kPa, L); times in µs.
 */
import type { QuantityKind } from '../description.ts';
import type { GateId } from '../events.ts';

export interface ProcedureDescription {
  readonly id: string;
  readonly title: string;
  /** As the shop counts it. */
  readonly version: string;
  /** SHA-256 of the file's text: tells an edited copy from the one before. */
  readonly digest: string;
  readonly purpose: string;
  /** Shown before the first step. */
  readonly cautions: readonly string[];
  /** 'level': mm at a temperature. 'overflow': fluid stood at the lip, at a temperature; no millimetres come of it. */
  readonly result: 'level' | 'overflow';
  /** What is asked of customer and machine at the start. */
  readonly fields: readonly FieldDescription[];
  /** Jugs, scales, meters that amounts are measured by. */
  readonly measures: readonly MeasureDescription[];
  /** What a refill takes besides what was drained. */
  readonly allowances: readonly { readonly what: string; readonly litres: number; readonly uLitres: number }[];
  readonly holds: readonly HoldDescription[];
  readonly steps: readonly StepDescription[];
}

export interface FieldDescription {
  readonly id: string;
  readonly words: string;
  readonly required: boolean;
}

export const MEASURE_KINDS = ['jug', 'scale', 'meter', 'hand'] as const;

export interface MeasureDescription {
  readonly id: string;
  readonly words: string;
  readonly by: (typeof MEASURE_KINDS)[number];
  /** What it shows: a scale in air shows kilograms. */
  readonly unit: 'L' | 'kg';
  /** What can be poured or told with it, in its unit. */
  readonly step: number;
  /** Standard uncertainty: as a share, the same in all it measures, and of each amount by itself. */
  readonly uShare: number;
  readonly uEach: number;
}

/** A channel that must stay on one side of a limit while certain steps run. Broken, it is an alarm. */
export interface HoldDescription {
  readonly id: string;
  /** Of the bench; where it has none of this name and quantity, the person watches a gauge. */
  readonly channel: string;
  readonly quantity: QuantityKind;
  readonly side: 'below' | 'above';
  readonly limit: number;
  readonly deadband: number;
  readonly onDelayUs: number;
  /** What to do when it breaks. */
  readonly words: string;
  readonly during: readonly string[];
}

/** What must be before a step may be finished. */
export type Need =
  /** L poured in so far, at least; or this share of what the refill plan says. */
  | { readonly kind: 'filled'; readonly litres: number }
  | { readonly kind: 'filled-share'; readonly share: number }
  /** This gate of readiness is open. */
  | { readonly kind: 'gate'; readonly gate: GateId }
  | { readonly kind: 'entered'; readonly name: string };

export type StepDescription = {
  readonly id: string;
  readonly title: string;
  readonly words: string | null;
  readonly cautions: readonly string[];
  readonly needs: readonly Need[];
  /** What the engine does when this step is done; null: nothing changes. */
  readonly engine: 'starts' | 'stops' | null;
  /** May be left out without a reason. */
  readonly optional: boolean;
  /** Step at which the job goes on after this one: out of a loop, or back into it; null: the next in the file. */
  readonly goesOn: string | null;
} & (ConfirmStep | EnterStep | WaitStep | ReadStep | DoseStep | ZeroStep | DecideStep | AskStep);

export const STEP_KINDS = ['confirm', 'enter', 'wait', 'read', 'dose', 'zero', 'decide', 'ask'] as const;

/** A tick list. */
export interface ConfirmStep {
  readonly kind: 'confirm';
  readonly ticks: readonly { readonly id: string; readonly words: string }[];
  /** Asked for, never required. */
  readonly note: boolean;
  readonly photo: boolean;
}

export interface EnterStep {
  readonly kind: 'enter';
  readonly asks: readonly AskedValue[];
}

/**
 * What an entry is used for besides the record: the level to be matched and its standard uncertainty; all the fluid that
 * the machine holds; how warm the new fluid is when it is poured; how warm the fluid was when it stood at the lip, and how
 * much of it came out there.
 */
export const MEANINGS = [
  'target-level',
  'target-uncertainty',
  'fluid-held',
  'fresh-temperature',
  'overflow-temperature',
  'overflow-caught',
] as const;

export type AskedValue = {
  readonly name: string;
  readonly words: string;
  readonly required: boolean;
  readonly means: (typeof MEANINGS)[number] | null;
} & (
  | { readonly of: 'quantity'; readonly quantity: QuantityKind; readonly low: number; readonly high: number }
  /** `sameAs`: must say the same as an earlier entry, case and blanks aside; another one needs a reason. */
  | { readonly of: 'text'; readonly sameAs: string | null }
  | { readonly of: 'choice'; readonly choices: readonly string[] }
);

/** Until these gates are open; none named: until ready. */
export interface WaitStep {
  readonly kind: 'wait';
  readonly gates: readonly GateId[];
}

export interface ReadStep {
  readonly kind: 'read';
  /** Later readings are held against this one. */
  readonly target: boolean;
}

export interface DoseStep {
  readonly kind: 'dose';
  /** 'advice': in or out, and how much, as worked out from the last reading. */
  readonly way: 'in' | 'out' | 'advice';
  /** Of those poured in: as much as the refill plan says. */
  readonly plan: 'refill' | null;
  /** Several amounts may make it up; the person says when that is all. */
  readonly several: boolean;
  /** By id; the first is proposed. */
  readonly measures: readonly string[];
}

/** The level sensor on its block. */
export interface ZeroStep {
  readonly kind: 'zero';
}

/** By the verdict on the last reading: where the step goes on when within or accepted, else to another step. */
export interface DecideStep {
  readonly kind: 'decide';
  readonly otherwise: string;
}

/** A person answers. */
export interface AskStep {
  readonly kind: 'ask';
  /** `goTo` null: where the step goes on. */
  readonly answers: readonly { readonly id: string; readonly words: string; readonly goTo: string | null }[];
}
