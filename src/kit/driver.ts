/**
 * The driver contract: everything that a driver is told and everything it answers. A driver is pure: no clock, no
 * timers, no I/O; its state is plain data and survives structuredClone.
 */
import type { ZodType } from 'zod';
import type { Decoder } from '../core/decoder.ts';
import type { Shape } from './modbus-pdu.ts';

export { z } from 'zod';
export type { Decoded, FrameIn } from '../core/decoder.ts';

/** How bytes of the link become frames. */
export type Framing =
  | {
      /** Lines of text: CR, LF, CRLF or LFCR all end a line; the frame holds the bytes between. */
      readonly kind: 'lines';
      /** A longer line is discarded whole as `too-long`; the next line end resynchronises. */
      readonly capBytes: number;
    }
  | {
      /** Frames of Modbus (see modbus-rtu.ts, modbus-tcp.ts). */
      readonly kind: 'modbus-rtu' | 'modbus-tcp';
      /** No frame is longer. */
      readonly capBytes: number;
      /** The answers to be expected: only those are frames. */
      readonly shapes: readonly Shape[];
      /** For so long after opening nothing is asked, so silence says nothing. */
      readonly quietUs: number;
    };

export interface Driver<Options = unknown, State = unknown> extends Decoder<Options, State> {
  /** As written in bench.yaml after `driver:`; also the name of its folder. */
  readonly name: string;
  /** One line for lists and docs. */
  readonly summary: string;
  /** Settings in bench.yaml beside `driver:`. Unknown keys are mistakes (use z.strictObject). */
  readonly options: ZodType<Options>;
  readonly framing: (options: Options) => Framing;
  /** Names of the signals that channels may refer to. */
  readonly signals: (options: Options) => readonly string[];
}

/** Gives the types of a driver without writing them out. */
export function defineDriver<Options, State>(driver: Driver<Options, State>): Driver<Options, State> {
  return driver;
}

/** Any driver, for registries: the pipeline hands each one only its own options and state. */
// biome-ignore lint/suspicious/noExplicitAny: the registry mixes drivers of different types on purpose
export type AnyDriver = Driver<any, any>;

export type DriverRegistry = Readonly<Record<string, AnyDriver>>;
