import { once } from 'node:events';
import fs from 'node:fs';
import tty from 'node:tty';
import { openMaster, waitingBytes } from './libc.ts';
import type { Port, PortAddress } from './port.ts';
import { realTimers, type Timers } from './scheduler.ts';

/** The first byte of each packet of a master in packet mode (ioctl_tty(2)): data, or a set of events. */
const DATA = 0;
const FLUSHED = 0x01 | 0x02;

const FIRST_RETRY_S = 0.001;
const LONGEST_RETRY_S = 0.05;

interface Pending {
  readonly bytes: Uint8Array;
  done: number;
  readonly resolve: () => void;
  readonly reject: (error: Error) => void;
}

interface Cable {
  readonly master: number;
  /** Held open by us too, so that readers may come and go. */
  readonly slave: number;
  readonly reader: tty.ReadStream;
}

/**
 * A board's port as a real pseudo-terminal behind a symbolic link that stays the same. Every plug is a new terminal, as
 * with a USB adapter. A program that opens a serial port flushes it first; packet mode shows that to the master, and
 * it counts as opening.
 */
export class PtyPort implements Port {
  readonly address: PortAddress;
  readonly #path: string;
  readonly #timers: Timers;
  #cable: Cable | null = null;
  readonly #queue: Pending[] = [];
  #retryS = FIRST_RETRY_S;
  #cancelRetry: (() => void) | null = null;
  #onData: (bytes: Uint8Array) => void = () => {};
  #onOpen: () => void = () => {};

  /** @param path of the symbolic link; must be free, or a symbolic link. */
  constructor(path: string, timers: Timers = realTimers) {
    this.#path = path;
    this.#timers = timers;
    this.address = { kind: 'serial', path };
  }

  get plugged(): boolean {
    return this.#cable !== null;
  }

  async plug(): Promise<void> {
    if (this.#cable !== null) throw new Error(`${this.#path}: already plugged`);
    removeLink(this.#path);
    const { fd: master, slavePath } = openMaster();
    const slave = openOrClose(slavePath, master);
    const reader = new tty.ReadStream(master);
    reader.on('data', (packet: Buffer) => this.#packet(packet));
    reader.on('error', () => {}); // the write queue reports a lost terminal
    this.#cable = { master, slave, reader };
    fs.symlinkSync(slavePath, this.#path);
  }

  async unplug(): Promise<void> {
    const cable = this.#cable;
    if (cable === null) return;
    this.#cable = null;
    this.#cancelRetry?.();
    this.#cancelRetry = null;
    for (const pending of this.#queue.splice(0)) pending.reject(new Error(`${this.#path}: unplugged`));
    removeLink(this.#path);
    fs.closeSync(cable.slave);
    const closed = once(cable.reader, 'close');
    cable.reader.destroy(); // closes the master: readers of the slave see a hang-up
    await closed;
  }

  async write(bytes: Uint8Array): Promise<void> {
    if (this.#cable === null) throw new Error(`${this.#path}: no cable`);
    await new Promise<void>((resolve, reject) => {
      this.#queue.push({ bytes, done: 0, resolve, reject });
      if (this.#cancelRetry === null) this.#pump();
    });
  }

  unread(): number {
    const queued = this.#queue.reduce((sum, pending) => sum + pending.bytes.length - pending.done, 0);
    return queued + (this.#cable === null ? 0 : waitingBytes(this.#cable.slave));
  }

  onData(listener: (bytes: Uint8Array) => void): void {
    this.#onData = listener;
  }

  onOpen(listener: () => void): void {
    this.#onOpen = listener;
  }

  #packet(packet: Buffer): void {
    const head = packet[0] ?? DATA;
    if (head === DATA) this.#onData(packet.subarray(1));
    else if ((head & FLUSHED) !== 0) this.#onOpen();
  }

  /** Writes what the terminal takes; the stream's own write would block the event loop on a full terminal. */
  #pump(): void {
    for (let pending = this.#queue[0]; pending !== undefined; pending = this.#queue[0]) {
      if (this.#cable === null) return;
      try {
        while (pending.done < pending.bytes.length) {
          pending.done += fs.writeSync(this.#cable.master, pending.bytes, pending.done);
          this.#retryS = FIRST_RETRY_S;
        }
      } catch (error) {
        if ((error as NodeJS.ErrnoException).code === 'EAGAIN') {
          this.#retryLater();
          return;
        }
        this.#queue.shift();
        pending.reject(error as Error);
        continue;
      }
      this.#queue.shift();
      pending.resolve();
    }
  }

  #retryLater(): void {
    this.#cancelRetry = this.#timers.after(this.#retryS, () => {
      this.#cancelRetry = null;
      this.#pump();
    });
    this.#retryS = Math.min(this.#retryS * 2, LONGEST_RETRY_S);
  }
}

/** Never removes anything but a symbolic link. */
function removeLink(path: string): void {
  const found = fs.lstatSync(path, { throwIfNoEntry: false });
  if (found === undefined) return;
  if (!found.isSymbolicLink()) throw new Error(`${path}: is in the way of the simulated port and is no symbolic link`);
  fs.unlinkSync(path);
}

function openOrClose(slavePath: string, master: number): number {
  try {
    return fs.openSync(slavePath, fs.constants.O_RDWR | fs.constants.O_NOCTTY);
  } catch (error) {
    fs.closeSync(master);
    throw error;
  }
}
