/** A device behind TCP: a bridge, a logger, a board on the network. */
import { createConnection, type Socket } from 'node:net';
import type { LinkReason } from '../core/events.ts';
import { type Clock, type Connection, type ConnectionHandlers, type Door, LinkFault } from './contract.ts';
import { codeOf, connectionLife, messageOf, OPEN_LIMIT_US, within } from './door-parts.ts';

/** First probe of an idle connection; the system's own rhythm follows. */
const KEEP_ALIVE_MS = 10_000;

const READ_BYTES = 65_536;

export interface TcpOptions {
  readonly host: string;
  readonly port: number;
  readonly clock: Clock;
  readonly limitUs?: number;
  /** Begins a connection. Tests give one that never answers. */
  readonly dial?: (host: string, port: number) => Socket;
}

export function tcpDoor({ host, port, clock, limitUs = OPEN_LIMIT_US, dial = dialTcp }: TcpOptions): Door {
  const name = `tcp ${host.includes(':') ? `[${host}]` : host}:${port}`;

  const open = async (handlers: ConnectionHandlers, signal?: AbortSignal): Promise<Connection> => {
    const socket = dial(host, port);
    const connected = new Promise<void>((resolve, reject) => {
      socket.once('connect', resolve);
      socket.once('error', (error) => reject(new LinkFault(openReason(error), messageOf(error))));
    });
    await within({ work: connected, abandon: () => socket.destroy() }, clock, limitUs, signal);
    return talk(name, socket, handlers);
  };
  return { name, open };
}

/** Reads into one buffer: a fast sender would else fill the memory with chunks that wait to be collected. */
function dialTcp(host: string, port: number): Socket {
  const socket: Socket = createConnection({
    host,
    port,
    noDelay: true,
    keepAlive: true,
    keepAliveInitialDelay: KEEP_ALIVE_MS,
    onread: {
      buffer: Buffer.allocUnsafe(READ_BYTES),
      callback: (count, buffer) => socket.emit('data', buffer.subarray(0, count)),
    },
  });
  return socket;
}

function talk(name: string, socket: Socket, handlers: ConnectionHandlers): Connection {
  const life = connectionLife(name, handlers);
  const closed = new Promise<void>((resolve) => socket.once('close', () => resolve()));
  const end = (reason: LinkReason, detail: string): Promise<void> => {
    life.end(reason, detail);
    socket.destroy();
    return closed;
  };
  socket.on('data', (chunk: Buffer) => life.arrive(chunk));
  socket.on('end', () => void end('remote-closed', 'end of stream'));
  socket.on('error', (error) => void end(lossReason(error), messageOf(error)));
  socket.on('close', () => void end('io-error', 'closed without a reason'));
  return {
    write: (bytes) =>
      life.write(
        () =>
          new Promise((resolve, reject) => {
            socket.write(Buffer.from(bytes), (error) => (error ? reject(error) : resolve()));
          }),
      ),
    close: () => end('stopped', 'closed by Stillwell'),
  };
}

/** Why a connection could not be made. Several addresses may have been tried: the first error speaks for all. */
export function openReason(error: unknown): LinkReason {
  const first = error instanceof AggregateError ? (error.errors[0] as unknown) : error;
  switch (codeOf(first)) {
    case 'ECONNREFUSED':
      return 'refused';
    case 'ETIMEDOUT':
      return 'timed-out';
    case 'ECONNRESET':
      return 'remote-closed';
    case 'EHOSTUNREACH':
    case 'EHOSTDOWN':
    case 'ENETUNREACH':
    case 'ENETDOWN':
    case 'EADDRNOTAVAIL':
    case 'ENOTFOUND':
    case 'EAI_AGAIN':
      return 'unreachable';
    default:
      return 'io-error';
  }
}

/** Why a standing connection was lost. */
export function lossReason(error: unknown): LinkReason {
  switch (codeOf(error)) {
    case 'ECONNRESET':
    case 'EPIPE':
      return 'remote-closed';
    default:
      return openReason(error);
  }
}
