/**
 * A value held against a limit with deadband and delays: plain data and pure functions, for alarms and for whatever else
 * must stay within a limit for a while.
 *
 * Beyond the limit for the on-delay without interruption: active. Back inside by the deadband for the off-delay without
 * interruption: normal. The limit itself is not beyond; the limit less the deadband is back inside.
 */
export interface LimitDescription {
  /** The side on which a value is wrong. */
  readonly side: 'above' | 'below';
  readonly limit: number;
  /** How far back inside the value must come, not below 0; in the unit of the limit. */
  readonly deadband: number;
  readonly onDelayUs: number;
  readonly offDelayUs: number;
}

export interface LimitWatch {
  readonly active: boolean;
  /** Since when every value has said the opposite of `active`; null while it agrees. */
  readonly againstUs: number | null;
}

export const WITHIN_LIMIT: LimitWatch = Object.freeze({ active: false, againstUs: null });

/** The watch after a look at the newest value at `tUs`; a delay begins with the look that finds a value against it. */
export function watchLimit(of: LimitDescription, watch: LimitWatch, value: number, tUs: number): LimitWatch {
  if (watch.active ? !backInside(of, value) : !beyond(of, value)) return { active: watch.active, againstUs: null };
  const againstUs = watch.againstUs ?? tUs;
  return tUs >= againstUs + delayUs(of, watch)
    ? { active: !watch.active, againstUs: null }
    : { active: watch.active, againstUs };
}

/** The value is not known any more: the watch stays as it is, and a delay that ran begins anew. */
export function withoutValue({ active }: LimitWatch): LimitWatch {
  return { active, againstUs: null };
}

/** When the delay that runs is over; null where none runs. */
export function delayEndsUs(of: LimitDescription, watch: LimitWatch): number | null {
  return watch.againstUs === null ? null : watch.againstUs + delayUs(of, watch);
}

function delayUs({ onDelayUs, offDelayUs }: LimitDescription, { active }: LimitWatch): number {
  return active ? offDelayUs : onDelayUs;
}

function beyond({ side, limit }: LimitDescription, value: number): boolean {
  return side === 'above' ? value > limit : value < limit;
}

function backInside({ side, limit, deadband }: LimitDescription, value: number): boolean {
  return side === 'above' ? value <= limit - deadband : value >= limit + deadband;
}
