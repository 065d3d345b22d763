/**
 * Frames out of bytes that carry no mark between them: drop one byte and try again. What comes out depends on the bytes
 * alone, never on how the chunks were cut.
 */
import type { DiscardReason } from '../core/events.ts';

/** What stands at the beginning of some bytes: a whole frame of so many, the beginning of one, or none. */
export type Recognised = number | 'more' | 'none';

/** @param bytes what has come; its first byte is where a frame would begin */
export type Recognise = (bytes: Uint8Array) => Recognised;

export interface ByteFrameEvents {
  /** One whole frame, in memory of its own. */
  onFrame(bytes: Uint8Array): void;
  /** Bytes that never became a frame: how many, and the first of them, at most 64. */
  onDiscard(reason: Extract<DiscardReason, 'checksum' | 'cut-tail'>, count: number, head: Uint8Array): void;
}

const HEAD_BYTES = 64;
/** Noise without end is reported in parts of this size, so that it shows while it lasts. */
const PART_BYTES = 65_536;

/**
 * A stage for one connection. Bytes that begin no frame are `checksum`, told before the next frame; what is left of an
 * unfinished frame at the end is `cut-tail`.
 *
 * @param capBytes no frame is longer
 */
export function byteStage(capBytes: number, recognise: Recognise, events: ByteFrameEvents) {
  /** The present candidate stands from `from` up to `to`. */
  const held = new Uint8Array(4 * capBytes);
  let from = 0;
  let to = 0;
  const noiseHead = new Uint8Array(HEAD_BYTES);
  let noise = 0;

  const drop = (): void => {
    if (noise < HEAD_BYTES) noiseHead[noise] = held[from] as number;
    noise += 1;
    from += 1;
    if (noise === PART_BYTES) tellNoise();
  };

  const tellNoise = (): void => {
    if (noise > 0) events.onDiscard('checksum', noise, noiseHead.slice(0, Math.min(noise, HEAD_BYTES)));
    noise = 0;
  };

  const look = (): void => {
    while (from < to) {
      const found = recognise(held.subarray(from, to));
      if (found === 'more' && to - from < capBytes) return;
      if (typeof found !== 'number') {
        drop();
        continue;
      }
      const frame = held.slice(from, from + found);
      from += found;
      tellNoise(); // what came before is told before
      events.onFrame(frame);
    }
  };

  return {
    push(chunk: Uint8Array): void {
      for (const byte of chunk) {
        if (to === held.length) {
          held.copyWithin(0, from, to);
          to -= from;
          from = 0;
        }
        held[to++] = byte;
        look();
      }
    },
    end(): void {
      tellNoise();
      if (to > from) events.onDiscard('cut-tail', to - from, held.slice(from, Math.min(to, from + HEAD_BYTES)));
      from = to;
    },
  };
}
