/** A device at a serial port: a USB board, an adapter, a built-in port. */
import { realpath, stat } from 'node:fs/promises';
import { SerialPort } from 'serialport';
import type { LinkReason } from '../core/events.ts';
import { type Clock, type Connection, type ConnectionHandlers, type Door, LinkFault } from './contract.ts';
import { codeOf, connectionLife, messageOf, OPEN_LIMIT_US, within } from './door-parts.ts';
import { isOffered, isWindowsPort } from './offered.ts';
import { type OpenedPort, type PortIo, portIo } from './port-io.ts';
import { accessWords, holderOf } from './who-holds.ts';

/** How often the path is looked at: not every pulled cable is told by the port itself. */
const LOOK_EVERY_US = 100_000;

export interface SerialOptions {
  readonly path: string;
  readonly baud: number;
  readonly parity?: 'even' | 'odd' | undefined;
  readonly stopBits?: 2 | undefined;
  readonly clock: Clock;
  readonly limitUs?: number;
}

/** Which device a path leads to. Another number or another node is another device. */
interface Place {
  readonly real: string;
  readonly identity: string;
}

export function serialDoor(options: SerialOptions): Door {
  const { path: asWritten, clock, limitUs = OPEN_LIMIT_US } = options;
  const path = callOutPath(asWritten, process.platform);
  const name = `serial port ${path}`;
  const hasPaths = process.platform !== 'win32';
  /** A port still being closed would keep the next one out. */
  let closing: Promise<void> = Promise.resolve();

  const open = async (handlers: ConnectionHandlers, signal?: AbortSignal): Promise<Connection> => {
    let abandoned = false;
    const work = (async () => {
      await closing;
      if (!hasPaths && !isWindowsPort(path)) throw new LinkFault('not-a-device', `${path} is no serial port`);
      const place = hasPaths ? await placeOf(path) : null;
      if (abandoned) throw new LinkFault('stopped', 'given up while opening');
      const port = await openPort(place?.real ?? path, options);
      if (abandoned) await port.close();
      return { port, place };
    })();
    const abandon = (): void => {
      abandoned = true;
      closing = work.then(nothing, nothing);
    };
    const { port, place } = await within({ work, abandon }, clock, limitUs, signal);
    const talk = conversation({ name, path, place, io: portIo(port, clock), clock, handlers });
    closing = talk.closed;
    return talk.connection;
  };
  return { name, open };
}

function nothing(): void {}

/** On macOS a call-in device (tty.*) waits for a carrier when opened; its call-out twin (cu.*) does not. */
export function callOutPath(path: string, platform: NodeJS.Platform): string {
  return platform === 'darwin' ? path.replace(/^\/dev\/tty\./, '/dev/cu.') : path;
}

interface Conversation {
  readonly name: string;
  readonly path: string;
  readonly place: Place | null;
  readonly io: PortIo;
  readonly clock: Clock;
  readonly handlers: ConnectionHandlers;
}

function conversation(c: Conversation): { readonly connection: Connection; readonly closed: Promise<void> } {
  const life = connectionLife(c.name, c.handlers);
  let cancelLook = (): void => {};
  let freed = (): void => {};
  const closed = new Promise<void>((resolve) => {
    freed = resolve;
  });

  const end = (reason: LinkReason, detail: string): Promise<void> => {
    if (life.end(reason, detail)) {
      cancelLook();
      // a port that is gone cannot be closed twice, and nobody can do anything about an error here
      c.io.close().then(freed, freed);
    }
    return closed;
  };

  const listen = async (): Promise<void> => {
    while (!life.ended) {
      const chunk = await c.io.read();
      if (chunk === null) return void end('unplugged', 'the port hung up');
      life.arrive(chunk);
    }
  };

  const look = (place: Place): void => {
    cancelLook = c.clock.at(c.clock.nowUs() + LOOK_EVERY_US, () => {
      void isAt(c.path, place).then((there) => {
        if (life.ended) return;
        if (there) look(place);
        else void end('unplugged', `${c.path} is gone`);
      });
    });
  };

  listen().catch(async (error: unknown) => {
    const there = !GONE_CODES.includes(codeOf(error)) && c.place !== null && (await isAt(c.path, c.place));
    return end(there ? 'io-error' : 'unplugged', messageOf(error));
  });
  if (c.place !== null) look(c.place);
  return {
    connection: {
      write: (bytes) => life.write(() => c.io.write(Uint8Array.from(bytes))),
      close: () => end('stopped', 'closed by Stillwell'),
    },
    closed,
  };
}

/** What reading says when the device went away under an open port. EIO says so too, but not only then. */
const GONE_CODES = ['ENXIO', 'ENODEV', 'EBADF'];

/** Follows links to the device; a LinkFault where there is none. */
async function placeOf(path: string): Promise<Place> {
  try {
    const real = await realpath(path);
    const found = await stat(real);
    if (!found.isCharacterDevice()) {
      const what = found.isDirectory() ? 'directory' : found.isBlockDevice() ? 'disk' : 'file';
      throw new LinkFault('not-a-device', `${real} is a ${what}, no serial port`);
    }
    if (!(await isOffered(real, found.rdev, process.platform))) {
      throw new LinkFault('not-a-device', `${real} is a device, but no serial port`);
    }
    return { real, identity: `${found.dev}:${found.ino}:${found.rdev}` };
  } catch (error) {
    if (error instanceof LinkFault) throw error;
    throw new LinkFault(portReason(messageOf(error)), messageOf(error));
  }
}

/** False only where the path certainly leads elsewhere or nowhere. */
async function isAt(path: string, place: Place): Promise<boolean> {
  try {
    const found = await stat(path);
    return `${found.dev}:${found.ino}:${found.rdev}` === place.identity;
  } catch (error) {
    return !['ENOENT', 'ENOTDIR', 'ENXIO', 'ENODEV'].includes(codeOf(error));
  }
}

async function openPort(path: string, { baud, parity, stopBits }: SerialOptions): Promise<OpenedPort> {
  try {
    // DTR stays as it is when the port is closed, so that opening it again does not restart the board
    return await SerialPort.binding.open({
      path,
      baudRate: baud,
      dataBits: 8,
      parity: parity ?? 'none',
      stopBits: stopBits ?? 1,
      hupcl: false,
    });
  } catch (error) {
    const message = messageOf(error);
    const reason = portReason(message);
    const more = reason === 'forbidden' ? await accessWords(path) : reason === 'busy' ? await holderOf(path) : '';
    throw new LinkFault(reason, more === '' ? message : `${message}; ${more}`);
  }
}

/** The library tells errors in words only; these are the system's own. */
export function portReason(message: string): LinkReason {
  if (/no such file|file not found|no such device|not a directory|ENOENT|ENXIO|ENODEV/i.test(message))
    return 'not-found';
  if (/permission denied|not permitted|EACCES|EPERM/i.test(message)) return 'forbidden';
  // "access denied" is how Windows says that another program has the port
  if (/cannot lock|busy|temporarily unavailable|access denied/i.test(message)) return 'busy';
  if (/inappropriate ioctl/i.test(message)) return 'not-a-device';
  return 'io-error';
}
