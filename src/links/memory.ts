/** A device in memory, for tests: plugged and unplugged by hand, sends what it is told to, remembers what it is sent. */
import type { LinkReason } from '../core/events.ts';
import { type Connection, type ConnectionHandlers, type Door, LinkFault } from './contract.ts';
import { connectionLife, type Life } from './door-parts.ts';

export interface MemoryTwin {
  readonly door: Door;
  /** How often the door was asked to open, and how many connections stand (0 or 1). */
  readonly knocks: number;
  readonly open: number;
  /** Everything written since the last plug(), in order. */
  readonly written: readonly Uint8Array[];
  plug(): void;
  /** The cable is pulled: a standing connection ends, and none can be opened. */
  unplug(): void;
  /** One chunk from the device. Text is sent as latin1. Lost while no connection stands, as on a real cable. */
  send(chunk: Uint8Array | string): void;
  /** Every open fails like this, until called with null. */
  refuse(reason: LinkReason | null, detail?: string): void;
  /** Opening hangs until release() or until its signal aborts. */
  hold(): void;
  release(): void;
  /** Ends a standing connection from the device's side while the device stays there. */
  drop(reason: LinkReason, detail?: string): void;
}

/** Starts plugged in. */
export function memoryTwin(label = 'twin'): MemoryTwin {
  const name = `memory ${label}`;
  let plugged = true;
  let refusal: LinkFault | null = null;
  let life: Life | null = null;
  let written: Uint8Array[] = [];
  let knocks = 0;
  let gate: { readonly opened: Promise<void>; readonly open: () => void } | null = null;

  const end = (reason: LinkReason, detail: string): void => {
    const ending = life;
    life = null;
    ending?.end(reason, detail);
  };

  const open = async (handlers: ConnectionHandlers, signal?: AbortSignal): Promise<Connection> => {
    knocks += 1;
    await settledOrAborted(gate?.opened ?? Promise.resolve(), signal);
    if (signal?.aborted) throw new LinkFault('stopped', 'given up while opening');
    if (refusal !== null) throw refusal;
    if (!plugged) throw new LinkFault('not-found', `${name} is not plugged in`);
    if (life !== null) throw new LinkFault('busy', `${name} is already open`);
    const mine = connectionLife(name, handlers);
    life = mine;
    return {
      write: (bytes) => {
        const copy = Uint8Array.from(bytes);
        return mine.write(async () => {
          written.push(copy);
        });
      },
      close: async () => {
        if (life === mine) end('stopped', 'closed by Stillwell');
      },
    };
  };

  return {
    door: { name, open },
    get knocks() {
      return knocks;
    },
    get open() {
      return life === null ? 0 : 1;
    },
    get written() {
      return written;
    },
    plug() {
      plugged = true;
      written = [];
    },
    unplug() {
      plugged = false;
      end('unplugged', 'cable pulled');
    },
    send: (chunk) => life?.arrive(typeof chunk === 'string' ? Buffer.from(chunk, 'latin1') : chunk),
    refuse(reason, detail = '') {
      refusal = reason === null ? null : new LinkFault(reason, detail);
    },
    hold() {
      let openGate = (): void => {};
      const opened = new Promise<void>((resolve) => {
        openGate = resolve;
      });
      gate = { opened, open: openGate };
    },
    release() {
      gate?.open();
      gate = null;
    },
    drop: (reason, detail = '') => end(reason, detail),
  };
}

function settledOrAborted(waiting: Promise<void>, signal: AbortSignal | undefined): Promise<void> {
  return new Promise((resolve) => {
    const done = (): void => {
      signal?.removeEventListener('abort', done);
      resolve();
    };
    if (signal?.aborted) return resolve();
    signal?.addEventListener('abort', done);
    void waiting.then(done);
  });
}
