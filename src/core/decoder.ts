/**
 * What the pipeline asks of a driver. The kit's driver contract (kit/driver.ts) extends this with what configuration
 * and links need; the core sees only this much.
 */
import type { DiscardReason, QualityReason } from './events.ts';

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
  | NoNumber;

export interface NoNumber {
  readonly kind: 'discarded';
  readonly reason: DiscardReason;
}

export interface Decoder<Options = unknown, State = unknown> {
  /** Whether every frame carries a check value, so that no damaged one passes for whole. Absent: it does not. */
  readonly checked?: (options: Options) => boolean;
  /** State of a fresh connection: plain data that survives structuredClone. */
  readonly init: (options: Options) => State;
  /** Never throws on any bytes: a frame that is not understood is `discarded` with a reason. */
  readonly decode: (
    frame: FrameIn,
    state: State,
    options: Options,
  ) => {
    readonly state: State;
    readonly items: readonly Decoded[];
    /** When `poll` is to be called next, where the frame changes that. */
    readonly wakeAtUs?: number | null;
  };
  /**
   * For instruments that must be asked: called when the link opens and at `wakeAtUs`. `intervalUs` is how often the
   * bench wants a value. Null for `wakeAtUs`: never again in this connection. `items` says what did not come.
   */
  readonly poll?: (
    tUs: number,
    state: State,
    options: Options,
    intervalUs: number,
  ) => {
    readonly state: State;
    readonly send: readonly Uint8Array[];
    readonly wakeAtUs: number | null;
    readonly items?: readonly NoNumber[];
  };
}

// biome-ignore lint/suspicious/noExplicitAny: a registry mixes drivers of different types; each gets only its own state
export type Decoders = Readonly<Record<string, Decoder<any, any>>>;
