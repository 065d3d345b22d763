/**
 * Alarms in the terms of ANSI/ISA-18.2-2016 and IEC 62682: limit, deadband, on-delay, off-delay, priority, shelving,
 * suppression by design. Words only; the standard's text is not repeated.
 */
import type { LimitDescription } from './limit-watch.ts';

export const ALARM_PRIORITIES = ['low', 'medium', 'high'] as const;
export type AlarmPriority = (typeof ALARM_PRIORITIES)[number];

/** A channel that is held against a limit; limit and deadband in the channel's inside unit. */
export interface AlarmDescription extends LimitDescription {
  readonly id: string;
  readonly channel: string;
  readonly priority: AlarmPriority;
  /** What the person is to do. */
  readonly message: string;
  /** States of the machine in which it is armed; absent: in all. A state that nobody has stated disarms nothing. */
  readonly whileMachine?: readonly string[];
}

/** Codes of the alarms that every bench has: no alarm of a bench file may be called so. */
export const OWN_ALARMS = ['instrument-lost', 'value-lost', 'calibration-overdue', 'zero-moved'] as const;

/** Shelving is for a limited time: a minute to a shift of eight hours (common practice, no source). */
export const LEAST_SHELF_S = 60;
export const MOST_SHELF_S = 8 * 3600;
