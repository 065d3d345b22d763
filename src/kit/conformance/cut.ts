/** How the frames of a recording are told apart and put together again: lines by their ends, others by the framing. */
import { asStream, joined, LF, linesOf, noise, type Random } from './bytes.ts';
import type { Subject } from './rig.ts';

export interface Cut {
  frames(raw: Uint8Array): Uint8Array[];
  /** The frames as they come; `end` stands after each. */
  stream(frames: readonly Uint8Array[], end?: (index: number) => Uint8Array): Uint8Array;
  /** Where the first frame begins in a stream. */
  readonly startsAt: number;
  /** What may stand after a frame and changes nothing. */
  readonly ends: readonly Uint8Array[];
  /** What stands after each frame on a cable. */
  readonly end: Uint8Array;
  noise(random: Random): Uint8Array;
  /** The connections that bring these bytes, each of which holds no whole frame, so that none runs into the next. */
  apart(pieces: readonly Uint8Array[]): readonly Uint8Array[];
  /** A frame without its end. */
  torn(frame: Uint8Array): Uint8Array;
}

const NOTHING = new Uint8Array();

const LINES: Cut = {
  frames: linesOf,
  stream: asStream,
  startsAt: LF.length,
  ends: ['\r', '\n', '\r\n', '\n\r'].map((end) => Uint8Array.from(end, (char) => char.charCodeAt(0))),
  end: Uint8Array.of(0x0d, 0x0a),
  noise,
  apart: (pieces) => [asStream(pieces)],
  torn: (line) => line,
};

export function cutOf({ driver, options, tools }: Subject): Cut {
  const framing = driver.framing(options);
  if (framing.kind === 'lines') return LINES;
  return {
    frames(raw) {
      const found: Uint8Array[] = [];
      const stage = tools.stage(framing, { onFrame: (bytes) => found.push(bytes), onDiscard: () => {} });
      stage.push(raw);
      stage.end();
      return found;
    },
    stream: (frames, end = () => NOTHING) => joined(frames.flatMap((frame, index) => [frame, end(index)])),
    startsAt: 0,
    // what the line carries while nobody drives it
    ends: [[0x00], [0xff], [0xff, 0x00], [0x00, 0x00, 0x00]].map((end) => Uint8Array.from(end)),
    end: NOTHING,
    noise: (random) => Uint8Array.from({ length: 1 + random(30) }, () => random(256)),
    apart: (pieces) => pieces,
    torn: (frame) => frame.subarray(0, -1),
  };
}
