/**
 * The driver contract: everything that a driver is told and everything it answers. A driver is pure: no clock, no
 * timers, no I/O; its state is plain data and survives structuredClone.
 */
import type { ZodType } from 'zod';
import type { DiscardReason, QualityReason } from '../core/events.ts';

export { z } from 'zod';

/** How bytes of the link become frames. */
export type Framing = {
  /** Lines of text: CR, LF, CRLF or LFCR all end a line; the frame holds the bytes between. */
  readonly kind: 'lines';
  /** A longer line is discarded whole as `too-long`; the next line end resynchronises. */
  readonly capBytes: number;
};

export interface FrameIn {
  readonly bytes: Uint8Array;
  readonly seq: number;
  readonly tUs: number;
  /** The request that it answers; 0 where it answers none. */
  readonly request: number;
}

/** One number of one signal, in the instrument's own unit; or a reason why there is none. */
export type Decoded =
  | { readonly kind: 'signal'; readonly signal: string; readonly value: number; readonly suspect?: QualityReason }
  | { readonly kind: 'discarded'; readonly reason: DiscardReason };

export interface Driver<Options = unknown, State = unknown> {
  /** As written in bench.yaml after `driver:`; also the name of its folder. */
  readonly name: string;
  /** One line for lists and docs. */
  readonly summary: string;
  /** Settings in bench.yaml beside `driver:`. Unknown keys are mistakes (use z.strictObject). */
  readonly options: ZodType<Options>;
  readonly framing: (options: Options) => Framing;
  /** Names of the signals that channels may refer to. */
  readonly signals: (options: Options) => readonly string[];
  /** State of a fresh connection, plain data. */
  readonly init: (options: Options) => State;
  /** Never throws on any bytes: a frame that is not understood is `discarded` with a reason. */
  readonly decode: (frame: FrameIn, state: State, options: Options) => { state: State; items: readonly Decoded[] };
  /**
   * For instruments that must be asked. Called when the link opens and at `wakeAtUs`; returns what to send and when to
   * be called again.
   */
  readonly poll?: (
    tUs: number,
    state: State,
    options: Options,
  ) => { state: State; send: readonly Uint8Array[]; wakeAtUs: number };
}

/** Gives the types of a driver without writing them out. */
export function defineDriver<Options, State>(driver: Driver<Options, State>): Driver<Options, State> {
  return driver;
}

/** Any driver, for registries: the pipeline hands each one only its own options and state. */
// biome-ignore lint/suspicious/noExplicitAny: the registry mixes drivers of different types on purpose
export type AnyDriver = Driver<any, any>;

export type DriverRegistry = Readonly<Record<string, AnyDriver>>;
