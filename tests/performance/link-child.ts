/**
 * One way of getting lines off a port, and nothing behind it: every line goes to a counter. Arguments: which way, port
 * path, bytes of a line, lines to warm up, lines to measure. Says `open`, and at the end its CPU time and its reads as
 * JSON.
 */
import { ReadlineParser } from '@serialport/parser-readline';
import { SerialPort } from 'serialport';
import { realClock } from '../../src/links/clock.ts';
import { lineStage } from '../../src/links/line-stage.ts';
import { doorFor } from '../../src/links/make.ts';
import { serialDoor } from '../../src/links/serial.ts';
import { supervise } from '../../src/links/supervise.ts';

const [way, path, ...figures] = process.argv.slice(2) as [string, string, ...string[]];
const [lineBytes, warmUp, count] = figures.map(Number) as [number, number, number];
const baud = 115_200;
const clock = realClock();

let lines = 0;
let reads = 0;
let start: { readonly cpu: NodeJS.CpuUsage; readonly reads: number } | null = null;

function line(): void {
  lines += 1;
  if (lines === warmUp) start = { cpu: process.cpuUsage(), reads };
  if (lines !== warmUp + count || start === null) return;
  const { user, system } = process.cpuUsage(start.cpu);
  process.stdout.write(`${JSON.stringify({ user, system, reads: reads - start.reads })}\n`);
}

let bytes = 0;
/** For a way that does not look for lines: they are all of one length. */
function chunk(length: number): void {
  reads += 1;
  for (bytes += length; bytes >= lineBytes; bytes -= lineBytes) line();
}

const opened = (): boolean => process.stdout.write('open\n');
const onEnd = (): void => {};

const ways: Readonly<Record<string, () => unknown>> = {
  /** What a shop writes: the stock stream and the stock parser. */
  bare: () => {
    const port = new SerialPort({ path, baudRate: baud }, opened);
    port.pipe(new ReadlineParser({ delimiter: '\n' })).on('data', line);
  },
  /** The stock stream without the parser. */
  'bare-stream': () => {
    new SerialPort({ path, baudRate: baud }, opened).on('data', (one: Buffer) => chunk(one.length));
  },
  /** The whole link: search, door, session, line stage. */
  link: () => {
    const find = { by: 'path', path } as const;
    supervise({
      door: doorFor({ kind: 'serial', find, baud, identify: null }, clock),
      instrument: 'gauge',
      framing: { kind: 'lines', capBytes: 1024 },
      clock,
      intervalUs: 5_000_000,
      onEvent(event) {
        if (event.kind === 'frame') line();
        else if (event.kind === 'link' && event.state === 'open') opened();
      },
    });
  },
  /** The door and the line stage, without the supervisor and its session. */
  'link-lines': async () => {
    const stage = lineStage(1024, { onFrame: line, onDiscard() {} });
    await serialDoor({ path, baud, clock }).open({ onBytes: (one) => stage.push(one), onEnd });
    opened();
  },
  /** The door alone: reads and the watch over the path. */
  'link-door': async () => {
    await serialDoor({ path, baud, clock }).open({ onBytes: (one) => chunk(one.length), onEnd });
    opened();
  },
};

ways[way]?.();
