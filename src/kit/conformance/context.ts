import type { Random } from './bytes.ts';
import type { Cut } from './cut.ts';
import { play, type Subject } from './rig.ts';

/** A recording beside a driver: bytes as they came from a port, and what must come out. */
export interface Recording {
  readonly raw: Uint8Array;
  /** As in a bench file. */
  readonly options: unknown;
  /** The values of each signal, in order. */
  readonly samples: Readonly<Record<string, readonly number[]>>;
  /** How many frames were discarded, by reason. */
  readonly discarded: Readonly<Record<string, number>>;
}

/** What a check is given. */
export interface Context extends Subject {
  readonly recording: Recording;
  /** Every frame carries a check value. */
  readonly checked: boolean;
  readonly random: Random;
  readonly cut: Cut;
  /** Some whole frames of the recording that give samples, for the checks that try many places. */
  readonly window: readonly Uint8Array[];
}

const WINDOW_FRAMES = 10;

/** Frames from the middle of the recording, each of which gives samples by itself. */
export function windowOf(subject: Subject, cut: Cut, raw: Uint8Array): Uint8Array[] {
  const good = cut
    .frames(raw)
    .slice(1)
    .filter((frame) => play(subject, [[cut.stream([frame])]]).samples.length === 1);
  const from = Math.max(0, Math.floor((good.length - WINDOW_FRAMES) / 2));
  return good.slice(from, from + WINDOW_FRAMES);
}
