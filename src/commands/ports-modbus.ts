/** `stillwell ports --modbus`: the slaves that answer at one port. */
import type { LinkDescription } from '../core/description.ts';
import { LINK_WORDS, StillwellError } from '../errors.ts';
import { exceptionReason } from '../kit/modbus-pdu.ts';
import { realClock } from '../links/clock.ts';
import { type Clock, LinkFault } from '../links/contract.ts';
import { doorFor } from '../links/make.ts';
import { scanModbus } from '../links/modbus-scan.ts';
import { listPorts, type PortRow } from '../links/ports.ts';
import type { Out } from './out.ts';

export interface ScanCommand {
  /** "1-16", or one number. */
  readonly modbus: string;
  /** Path of a port or host:port; without it, the only port that there is. */
  readonly at?: string;
  readonly baud?: number;
  readonly parity?: 'none' | 'even' | 'odd';
  readonly stopBits?: number;
  /** Without it: tcp over the network, rtu at a serial port. */
  readonly frames?: 'rtu' | 'tcp';
  /** ms to wait for each. */
  readonly within?: number;
}

const DEFAULT_WITHIN_MS = 200;

/** Answers the exit code: 0, also where none answers. */
export async function portsModbus(
  command: ScanCommand,
  out: Out,
  stopped: Promise<void>,
  clock: Clock = realClock(),
  list: () => Promise<readonly PortRow[]> = listPorts,
): Promise<number> {
  const port = command.at ?? (await onlyPort(list));
  const link = linkOf(port, command);
  const frames = command.frames ?? (link.kind === 'tcp' ? 'tcp' : 'rtu');
  const { first, last } = rangeOf(command.modbus, frames);
  const within = command.within ?? DEFAULT_WITHIN_MS;
  if (!(within >= 10 && within <= 10_000)) throw failed(port, '--within takes a number of ms from 10 to 10000');
  const door = doorFor(link, clock);
  const abort = new AbortController();
  void stopped.then(() => abort.abort());
  let found = 0;
  try {
    out.write(`${door.name}: asking slaves ${first} to ${last}, one at a time\n`);
    await scanModbus({
      door,
      frames,
      first,
      last,
      withinUs: within * 1000,
      clock,
      signal: abort.signal,
      onFound(slave, answer) {
        found += 1;
        const said =
          answer.kind === 'exception'
            ? `is there (${exceptionReason(answer.code)})`
            : `holding register 0 is ${(answer.data[0] ?? 0) * 256 + (answer.data[1] ?? 0)}`;
        out.write(`slave ${String(slave).padStart(3)}  ${said}\n`);
      },
    });
  } catch (error) {
    if (!(error instanceof LinkFault)) throw error;
    if (error.reason === 'stopped') return 0;
    const { words, todo } = LINK_WORDS[error.reason];
    throw failed(door.name, `${words} ${error.message}\n${todo}`);
  }
  if (found === 0)
    out.write(
      'None answers. Compare baud rate, parity and wiring (A with A, B with B) with the slaves; try --within 1000.\n',
    );
  return 0;
}

function failed(where: string, words: string): StillwellError {
  return new StillwellError('scan-failed', where, words);
}

async function onlyPort(list: () => Promise<readonly PortRow[]>): Promise<string> {
  const rows = await list();
  const [only] = rows;
  if (only !== undefined && rows.length === 1) return only.stable;
  const words = rows.length === 0 ? 'there is no serial port' : `there are ${rows.length} ports`;
  throw failed('--modbus', `${words}: name one with --at, a path that \`stillwell ports\` lists or host:port`);
}

function rangeOf(text: string, frames: 'rtu' | 'tcp'): { readonly first: number; readonly last: number } {
  const [, from, to = from] = /^(\d{1,3})(?:-(\d{1,3}))?$/.exec(text) ?? [];
  const [first, last] = [Number(from), Number(to)];
  const [lowest, highest] = frames === 'tcp' ? [0, 255] : [1, 247];
  if (from === undefined || first < lowest || last > highest || first > last)
    throw failed(text, `--modbus takes numbers of slaves from ${lowest} to ${highest}, such as 1-16`);
  return { first, last };
}

function linkOf(port: string, { baud, parity, stopBits }: ScanCommand): LinkDescription {
  const [, six, name, number] = /^(?:\[([\da-fA-F:.]+)\]|([\w.-]+)):(\d{1,5})$/.exec(port) ?? [];
  if (number !== undefined) return { kind: 'tcp', host: six ?? name ?? '', port: Number(number) };
  if (baud === undefined || !Number.isInteger(baud) || baud < 50)
    throw failed(port, 'a serial port needs --baud, a whole number such as 9600');
  return {
    kind: 'serial',
    find: { by: 'path', path: port },
    baud,
    ...(parity === 'even' || parity === 'odd' ? { parity } : {}),
    ...(stopBits === 2 ? { stopBits } : {}),
    identify: null,
  };
}
