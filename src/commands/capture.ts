/** `stillwell capture`: what a port sends, as it comes, in two files. */
import { closeSync, openSync, writeSync } from 'node:fs';
import type { BleTake, LinkDescription } from '../core/description.ts';
import type { LinkReason } from '../core/events.ts';
import { LINK_WORDS, StillwellError } from '../errors.ts';
import { characteristicName } from '../kit/uuid.ts';
import { realClock } from '../links/clock.ts';
import { type Clock, type Connection, LinkFault } from '../links/contract.ts';
import { messageOf, shown } from '../links/door-parts.ts';
import { lineStage } from '../links/line-stage.ts';
import { doorFor } from '../links/make.ts';
import { SOFTWARE } from '../software.ts';
import { counted, type Out } from './out.ts';

export interface CaptureOptions {
  readonly out: string;
  readonly baud?: number;
  readonly seconds?: number;
  /** Of a Bluetooth device: the characteristics that send values, the one that sends text, or what it advertises. */
  readonly notify?: readonly string[];
  readonly text?: string;
  readonly advertised?: boolean;
}

const LONGEST_LINE = 512;
/** Of what can only be read. */
const READ_EVERY_US = 1_000_000;

/**
 * Records until `stopped` settles, the time is over, or the connection ends. FILE.raw holds the bytes; FILE.json says
 * where they came from, when, and in which chunks: `[µs since the port was opened, bytes]`. Files that stand there are
 * never written over. Answers the exit code: 0, or 1 where the connection ended by itself.
 */
export async function capture(
  port: string,
  options: CaptureOptions,
  out: Out,
  stopped: Promise<void>,
  clock: Clock = realClock(),
): Promise<number> {
  const link = linkOf(port, options);
  if (options.seconds !== undefined && !(options.seconds > 0)) {
    throw new StillwellError('capture-failed', port, '--seconds takes a number above 0');
  }
  const door = doorFor(link, clock);
  const abort = new AbortController();
  void stopped.then(() => abort.abort());
  const over = whenOver(stopped, options.seconds, clock);
  const printer = linePrinter(out);
  let recording: Recording | null = null;
  try {
    const connection: Connection = await door.open(
      {
        onBytes(chunk) {
          if (recording === null) return;
          try {
            recording.take(chunk, clock.nowUs());
            printer.push(chunk);
          } catch (error) {
            over.because('io-error', messageOf(error));
          }
        },
        onEnd: (reason, detail) => over.because(reason, detail),
      },
      abort.signal,
    );
    try {
      recording = startRecording(options.out, { from: door.name, baud: options.baud ?? null }, clock);
    } catch (error) {
      await connection.close();
      throw new StillwellError('capture-failed', options.out, messageOf(error));
    }
    out.write(`${door.name}: recording, Ctrl-C stops\n`);
    const { reason, detail } = await over.settled;
    await connection.close();
    printer.end();
    recording.end(reason);
    const size = `${counted(recording.bytes, 'byte')} in ${options.out}.raw`;
    if (reason === 'stopped') {
      out.write(`${size}\n`);
      return 0;
    }
    out.write(`${door.name}: ${LINK_WORDS[reason].words} ${shown(detail, 500)}\n${size}\n`);
    return 1;
  } catch (error) {
    if (!(error instanceof LinkFault)) throw error;
    if (error.reason === 'stopped') return 0;
    const { words, todo } = LINK_WORDS[error.reason];
    throw new StillwellError('capture-failed', door.name, `${words} ${error.message}\n${todo}`);
  } finally {
    over.forget();
  }
}

function linkOf(port: string, { baud, ...ble }: CaptureOptions): LinkDescription {
  const [, six, name, number] = /^(?:\[([\da-fA-F:.]+)\]|([\w.-]+)):(\d{1,5})$/.exec(port) ?? [];
  if (number !== undefined) return { kind: 'tcp', host: six ?? name ?? '', port: Number(number) };
  if (/^[\da-f]{2}(?::[\da-f]{2}){5}$/i.test(port)) {
    const find = { address: port.toUpperCase(), service: null, serviceData: null, manufacturerData: null };
    return { kind: 'ble', find, adapter: null, take: takeOf(port, ble) };
  }
  if (baud === undefined || !Number.isInteger(baud) || baud < 50) {
    throw new StillwellError('capture-failed', port, 'a serial port needs --baud, a whole number such as 9600');
  }
  return { kind: 'serial', find: { by: 'path', path: port }, baud, identify: null };
}

function takeOf(port: string, { notify = [], text, advertised }: Omit<CaptureOptions, 'baud'>): BleTake {
  const named = (uuid: string): string => {
    const name = characteristicName(uuid);
    if (name === null) throw new StillwellError('capture-failed', port, `${shown(uuid)} is no UUID such as 2a6e`);
    return name;
  };
  const ways = [notify.length > 0, text !== undefined, advertised === true].filter(Boolean);
  if (ways.length !== 1) {
    const words = 'a Bluetooth device needs one of --notify, --text and --advertised';
    throw new StillwellError('capture-failed', port, words);
  }
  if (advertised === true) return { kind: 'advertised' };
  if (text !== undefined) return { kind: 'text', from: named(text), to: null };
  return { kind: 'values', notify: notify.map(named), read: [], everyUs: READ_EVERY_US };
}

interface End {
  readonly reason: LinkReason;
  readonly detail: string;
}

function whenOver(stopped: Promise<void>, seconds: number | undefined, clock: Clock) {
  let resolve = (_end: End): void => {};
  const settled = new Promise<End>((done) => {
    resolve = done;
  });
  const because = (reason: LinkReason, detail: string): void => resolve({ reason, detail });
  void stopped.then(() => because('stopped', ''));
  const forget =
    seconds === undefined
      ? (): void => {}
      : clock.at(clock.nowUs() + seconds * 1_000_000, () => because('stopped', ''));
  return { settled, because, forget };
}

interface Recording {
  readonly bytes: number;
  take(chunk: Uint8Array, nowUs: number): void;
  end(ended: string): void;
}

function startRecording(file: string, what: { from: string; baud: number | null }, clock: Clock): Recording {
  const raw = openSync(`${file}.raw`, 'wx');
  let notes: number;
  try {
    notes = openSync(`${file}.json`, 'wx');
  } catch (error) {
    closeSync(raw);
    throw error;
  }
  const startUs = clock.nowUs();
  const head = { ...what, software: SOFTWARE, startedUtc: new Date(clock.utcMs()).toISOString() };
  // written as it comes, so that hours of it take no memory
  writeSync(notes, `${JSON.stringify(head, null, 2).slice(0, -2)},\n  "chunks": [`);
  let bytes = 0;
  let chunks = 0;
  return {
    get bytes() {
      return bytes;
    },
    take(chunk, nowUs) {
      for (let done = 0; done < chunk.length; ) done += writeSync(raw, chunk, done);
      writeSync(notes, `${chunks === 0 ? '' : ','}\n    [${nowUs - startUs}, ${chunk.length}]`);
      bytes += chunk.length;
      chunks += 1;
    },
    end(ended) {
      writeSync(notes, `\n  ],\n  "bytes": ${bytes},\n  "ended": ${JSON.stringify(ended)}\n}\n`);
      closeSync(notes);
      closeSync(raw);
    },
  };
}

/** Whole lines for the eye; no byte of a device steers the terminal. */
function linePrinter(out: Out) {
  const stage = lineStage(LONGEST_LINE, {
    onFrame: (bytes) => out.write(`${shown(latin1(bytes), LONGEST_LINE)}\n`),
    onDiscard: (reason, count, head) => out.write(`(${reason}, ${counted(count, 'byte')}) ${shown(latin1(head))}\n`),
  });
  return stage;
}

function latin1(bytes: Uint8Array): string {
  return Buffer.from(bytes).toString('latin1');
}
