/**
 * Reading and writing an opened serial port. On Linux and macOS this works on the descriptor itself, because the
 * library's own read takes the end of file of a hung-up port for "nothing yet" and reads again for ever, and because
 * its wait for writability suspends reading. It rests on two internals of @serialport/bindings-cpp 13 (`fd`, `poller`):
 * the exact version is pinned, and the tests that pull a terminal away right after a line fail without them.
 */
import { write as fsWrite, readSync } from 'node:fs';
import { promisify } from 'node:util';
import type { Clock } from './contract.ts';
import { codeOf } from './door-parts.ts';

const writeFd = promisify(fsWrite);

const READ_BYTES = 65_536;
/** Wait before trying again to write what a full output queue did not take. */
const FULL_QUEUE_US = 5_000;

/** The part of the library's opened port that is used here. */
export interface OpenedPort {
  readonly isOpen: boolean;
  read(buffer: Buffer, offset: number, length: number): Promise<{ readonly bytesRead: number }>;
  write(bytes: Buffer): Promise<void>;
  close(): Promise<void>;
  readonly fd?: number | null;
  readonly poller?: { once(event: 'readable', ready: (error: Error | null) => void): unknown };
}

export interface PortIo {
  /** The next bytes, valid until the next call; null once the port has hung up or is being closed. */
  read(): Promise<Uint8Array | null>;
  /** All of it, after whatever was to be written before. */
  write(bytes: Uint8Array): Promise<void>;
  /** Frees the descriptor, after the writes under way: none may meet a number that is in new hands. */
  close(): Promise<void>;
}

export function portIo(port: OpenedPort, clock: Clock): PortIo {
  const { fd, poller } = port;
  return typeof fd === 'number' && poller !== undefined ? descriptorIo(port, fd, poller, clock) : libraryIo(port);
}

function descriptorIo(port: OpenedPort, fd: number, poller: NonNullable<OpenedPort['poller']>, clock: Clock): PortIo {
  const buffer = Buffer.allocUnsafe(READ_BYTES);
  let closing = false;
  let closed: Promise<void> | null = null;
  let writing: Promise<void> = Promise.resolve();

  const readable = (): Promise<boolean> =>
    new Promise((resolve) => poller.once('readable', (error) => resolve(error === null)));

  const writeAll = async (bytes: Uint8Array): Promise<void> => {
    for (let done = 0; done < bytes.length; ) {
      if (closing) throw new Error('the port was closed');
      try {
        done += (await writeFd(fd, bytes, done, bytes.length - done, null)).bytesWritten;
      } catch (error) {
        if (!isAgain(error)) throw error;
        await new Promise<void>((resolve) => clock.at(clock.nowUs() + FULL_QUEUE_US, resolve));
      }
    }
  };

  return {
    async read() {
      for (;;) {
        // an error of the poller is a hang-up too
        if (closing || !(await readable()) || closing) return null;
        try {
          // the descriptor does not block, and a thread for every read costs more than the read
          const bytesRead = readSync(fd, buffer, 0, buffer.length, null);
          return bytesRead === 0 ? null : buffer.subarray(0, bytesRead);
        } catch (error) {
          if (!isAgain(error)) throw error;
        }
      }
    },
    write(bytes) {
      const turn = writing.then(() => writeAll(bytes));
      writing = turn.catch(() => {});
      return turn;
    },
    close() {
      closing = true;
      closed ??= writing.then(() => port.close());
      return closed;
    },
  };
}

/** Windows: no descriptor to work on. */
function libraryIo(port: OpenedPort): PortIo {
  const buffer = Buffer.allocUnsafe(READ_BYTES);
  let closed: Promise<void> | null = null;
  let writing: Promise<void> = Promise.resolve();
  return {
    async read() {
      if (closed !== null) return null;
      try {
        const { bytesRead } = await port.read(buffer, 0, buffer.length);
        return bytesRead === 0 ? null : buffer.subarray(0, bytesRead);
      } catch (error) {
        if (closed !== null) return null;
        throw error;
      }
    },
    write(bytes) {
      const turn = writing.then(() => port.write(Buffer.from(bytes)));
      writing = turn.catch(() => {});
      return turn;
    },
    close() {
      closed ??= port.close();
      return closed;
    },
  };
}

function isAgain(error: unknown): boolean {
  return ['EAGAIN', 'EWOULDBLOCK', 'EINTR'].includes(codeOf(error));
}
