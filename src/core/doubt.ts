/**
 * Reasons to doubt a signal that is well formed: values that stand for a fault, and false echoes. A doubted value is
 * kept and shown, but counts for nothing.
 */
import type { ChannelDescription } from './description.ts';
import type { QualityReason } from './events.ts';

/** What is remembered of a channel's signals; plain data. */
export interface DoubtState {
  /** The last signal that was not doubted in this connection. */
  signal: number | null;
  /** Last echo strength heard. */
  strength: number | null;
}

export const NO_DOUBT: Readonly<DoubtState> = Object.freeze({ signal: null, strength: null });

/** A sentinel is accepted when the signal came to it in steps no larger than this share of it (and at least this much). */
const APPROACH = { share: 0.03, least: 1 };
/** Twice the way, within this share: the second echo. */
const SECOND_ECHO = 0.06;

/** The doubt about `signal`, or null. The strength, where there is one, has been noted in `state` before. */
export function doubt(channel: ChannelDescription, signal: number, state: DoubtState): QualityReason | null {
  const { echo } = channel;
  if (echo !== null) {
    if (state.strength !== null && state.strength <= 0) return 'echo-lost';
    if (state.strength !== null && state.strength < echo.leastStrength) return 'echo-weak';
    if (signal <= echo.nearest) return 'ring-down';
    if (state.signal !== null && Math.abs(signal / (2 * state.signal) - 1) < SECOND_ECHO) return 'second-echo';
  }
  for (const sentinel of channel.sentinels) {
    if (signal !== sentinel) continue;
    const step = Math.max(APPROACH.least, APPROACH.share * Math.abs(sentinel));
    if (state.signal === null || Math.abs(signal - state.signal) > step) return 'sentinel';
  }
  return null;
}
