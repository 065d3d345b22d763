/**
 * Lines of text: bytes of one connection in, whole lines out. CR, LF, CRLF and LFCR all end one line, so any run of
 * them does; empty lines give nothing. Frames, discards and their counts depend on the bytes alone, never on how the
 * chunks were cut.
 *
 * The stock parser keeps and copies everything up to the next delimiter and hands out a cut tail when it is ended. So
 * it is given whole, capped lines only, is never ended, and is emptied by `read()` right after each `write()`: every
 * line belongs to the chunk that completed it.
 */
import { type ReadlineOptions, ReadlineParser } from '@serialport/parser-readline';
import type { DiscardReason } from '../core/events.ts';
import type { FrameStage } from './contract.ts';

export type StageDiscard = Extract<DiscardReason, 'first-partial' | 'cut-tail' | 'too-long'>;

export interface StageEvents {
  /** One whole line without its end, in memory of its own. */
  onFrame(bytes: Uint8Array): void;
  /** Bytes that never became a line: how many (line ends not counted), and the first of them, at most 64. */
  onDiscard(reason: StageDiscard, count: number, head: Uint8Array): void;
}

const HEAD_BYTES = 64;
/** A line without an end is reported in parts of this size, so that it shows while it lasts. */
const LEAST_PART_BYTES = 65_536;
const CR = 0x0d;
const LF = 0x0a;

/**
 * A stage for one connection. What comes before the first line end is `first-partial` (a connection begins anywhere in
 * a line), a line of more than `capBytes` is `too-long`, what is left at the end is `cut-tail`.
 */
export function lineStage(capBytes: number, events: StageEvents): FrameStage {
  // without an encoding it hands out views of its own buffer: bytes, never made into text and back
  const options: object = { delimiter: '\n', encoding: undefined, readableObjectMode: true };
  const parser = new ReadlineParser(options as ReadlineOptions);
  const partBytes = Math.max(capBytes + 1, LEAST_PART_BYTES);
  /** Beginning of the present line; what does not fit is counted only. */
  const held = Buffer.alloc(Math.max(capBytes, HEAD_BYTES));
  let length = 0;
  let tooLong = false;
  let first = true;
  /** Whole lines of the present chunk, each ended by LF, on their way to the parser. */
  let lines = Buffer.alloc(0);
  let used = 0;

  const keep = (byte: number): void => {
    if (length < held.length) held[length] = byte;
    length += 1;
    if (length > capBytes) tooLong = true;
    if (tooLong && length === partBytes) discard('too-long');
  };

  const endLine = (chunkBytes: number): void => {
    if (tooLong) discard('too-long');
    else if (first) discard('first-partial');
    else if (length > 0) {
      // room for this line and whatever else the chunk can still complete
      if (used === 0) lines = Buffer.allocUnsafe(length + chunkBytes + 1);
      // lines are short: a loop is cheaper than a call of copy()
      for (let i = 0; i < length; i++) lines[used++] = held[i] as number;
      lines[used++] = LF;
      length = 0;
    }
    tooLong = false;
    first = false;
  };

  const release = (): void => {
    if (used === 0) return;
    parser.write(lines.subarray(0, used));
    used = 0;
    for (let line: Buffer | null = parser.read(); line !== null; line = parser.read()) {
      // memory of its own: a view would travel with the whole buffer between threads
      events.onFrame(new Uint8Array(line));
    }
  };

  const discard = (reason: StageDiscard): void => {
    release(); // what came before is told before
    if (length > 0) events.onDiscard(reason, length, new Uint8Array(held.subarray(0, Math.min(length, HEAD_BYTES))));
    length = 0;
  };

  return {
    push(chunk) {
      for (let i = 0; i < chunk.length; i++) {
        const byte = chunk[i] as number;
        if (byte === CR || byte === LF) endLine(chunk.length - i);
        else keep(byte);
      }
      release();
    },
    end() {
      discard(tooLong ? 'too-long' : 'cut-tail');
    },
  };
}
