/** Drivers of text lines: all that they have in common, so that each one says only how its lines read. */
import type { ZodType } from 'zod';
import type { DiscardReason } from '../core/events.ts';
import { type Asking, NOTHING_ASKED, pollAsking, takeAnswer } from './asking.ts';
import { type Driver, defineDriver } from './driver.ts';
import { type AskOption, type ChecksumOption, checkedPart, questionsOf } from './line-options.ts';
import { lineText } from './text.ts';

/** Longest line of most boards; a longer one is discarded whole. */
const CAP_BYTES = 1024;

interface SharedOptions {
  readonly checksum?: ChecksumOption | undefined;
  readonly ask?: AskOption | undefined;
}

/** The signals of a line, or why it has none. */
export type Reading = Readonly<Record<string, number>> | DiscardReason;

export interface TextDriver<Options extends SharedOptions, Ready> {
  readonly name: string;
  readonly summary: string;
  /** A z.strictObject that holds `lineOptions`, or as many of them as make sense. */
  readonly options: ZodType<Options>;
  readonly capBytes?: number;
  readonly signals: (options: Options) => readonly string[];
  /** What `read` needs again and again, as plain data: made once for a connection. */
  readonly ready: (options: Options) => Ready;
  /** Reads one line: one character for each byte, no control bytes, the check value taken off. */
  readonly read: (text: string, options: Options, ready: Ready) => Reading;
  /** Where the format carries a check value of its own. */
  readonly checked?: (options: Options) => boolean;
}

export interface TextState<Ready> {
  readonly ready: Ready;
  readonly asking: Asking;
}

export function textDriver<Options extends SharedOptions, Ready>(
  driver: TextDriver<Options, Ready>,
): Driver<Options, TextState<Ready>> {
  const { name, summary, options, capBytes = CAP_BYTES, signals } = driver;
  return defineDriver<Options, TextState<Ready>>({
    name,
    summary,
    options,
    signals,
    framing: () => ({ kind: 'lines', capBytes }),
    checked: (options) => options.checksum !== undefined || driver.checked?.(options) === true,
    init: (options) => ({ ready: driver.ready(options), asking: NOTHING_ASKED }),
    decode(frame, state, options) {
      const reading = readLine(driver, frame.bytes, options, state.ready);
      if (typeof reading === 'string') return { state, items: [{ kind: 'discarded', reason: reading }] };
      const items = Object.entries(reading).map(([signal, value]) => ({ kind: 'signal', signal, value }) as const);
      if (options.ask === undefined) return { state, items };
      const { asking, counts } = takeAnswer(state.asking, frame.tUs);
      return { state: { ...state, asking }, items: counts ? items : [{ kind: 'discarded', reason: 'unasked' }] };
    },
    poll(tUs, state, { ask }, intervalUs) {
      if (ask === undefined) return { state, send: [], wakeAtUs: null };
      const polled = pollAsking(state.asking, tUs, questionsOf(ask), intervalUs);
      return { ...polled, state: { ...state, asking: polled.state } };
    },
  });
}

function readLine<Options extends SharedOptions, Ready>(
  driver: TextDriver<Options, Ready>,
  bytes: Uint8Array,
  options: Options,
  ready: Ready,
): Reading {
  const text = lineText(bytes);
  if (text === null) return 'non-text';
  if (options.checksum === undefined) return driver.read(text, options, ready);
  const checked = checkedPart(text, bytes, options.checksum);
  return checked === null ? 'checksum' : driver.read(checked, options, ready);
}
