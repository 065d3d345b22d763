/** What every door needs: a limit for opening, and the rule that a connection ends once and for all. */
import type { LinkReason } from '../core/events.ts';
import { type Clock, type ConnectionHandlers, LinkFault } from './contract.ts';

/** No door waits longer for its connection. */
export const OPEN_LIMIT_US = 5_000_000;

export interface Attempt<T> {
  readonly work: Promise<T>;
  /** Called once if the attempt is given up: must undo whatever `work` still brings. */
  abandon(): void;
}

/** Settles with the attempt; gives it up as `timed-out` at the limit and as `stopped` when the signal aborts. */
export async function within<T>(
  attempt: Attempt<T>,
  clock: Clock,
  limitUs: number,
  signal: AbortSignal | undefined,
): Promise<T> {
  let giveUp: (fault: LinkFault) => void = () => {};
  const givenUp = new Promise<never>((_, reject) => {
    giveUp = (fault) => {
      giveUp = () => {};
      attempt.abandon();
      reject(fault);
    };
  });
  const stop = (): void => giveUp(new LinkFault('stopped', 'given up while opening'));
  const cancelLimit = clock.at(clock.nowUs() + limitUs, () =>
    giveUp(new LinkFault('timed-out', `no connection within ${limitUs / 1_000_000} s`)),
  );
  signal?.addEventListener('abort', stop, { once: true });
  if (signal?.aborted) stop();
  try {
    return await Promise.race([attempt.work, givenUp]);
  } finally {
    cancelLimit();
    signal?.removeEventListener('abort', stop);
  }
}

/** The life of one connection. */
export interface Life {
  readonly ended: boolean;
  /** Hands a chunk over while the connection lives. */
  arrive(chunk: Uint8Array): void;
  /** The first call ends it: waiting writes are rejected, the handler is told; true for that call only. */
  end(reason: LinkReason, detail: string): boolean;
  /** Runs `start` now if the connection lives; rejects at once when it does not, and as soon as it ends. */
  write(start: () => Promise<void>): Promise<void>;
}

export function connectionLife(name: string, handlers: ConnectionHandlers): Life {
  let over: LinkFault | null = null;
  const waiting = new Set<(fault: LinkFault) => void>();
  return {
    get ended() {
      return over !== null;
    },
    arrive(chunk) {
      if (over === null) handlers.onBytes(chunk);
    },
    end(reason, detail) {
      if (over !== null) return false;
      over = new LinkFault(reason, `${name}: connection ended, nothing was written (${reason})`);
      for (const reject of waiting) reject(over);
      waiting.clear();
      handlers.onEnd(reason, detail);
      return true;
    },
    write(start) {
      if (over !== null) return Promise.reject(over);
      return new Promise((resolve, reject) => {
        waiting.add(reject);
        start()
          .finally(() => waiting.delete(reject))
          .then(resolve, reject);
      });
    },
  };
}

/** A rejected system call as text for people. */
export function messageOf(error: unknown): string {
  return error instanceof Error ? error.message : String(error);
}

/** The system's name of an error ("ENOENT"), or ''. */
export function codeOf(error: unknown): string {
  const code = (error as { code?: unknown } | null)?.code;
  return typeof code === 'string' ? code : '';
}

const SHOWN = 60;

/** Text from a device as it may be shown on a terminal: cut short, anything but printable ASCII as an escape. */
export function shown(text: string, most = SHOWN): string {
  const cut = text.length > most ? `${text.slice(0, most)}…` : text;
  return cut.replace(/[^\x20-\x7e…]/g, (one) => {
    const named = { '\r': '\\r', '\n': '\\n', '\t': '\\t' }[one];
    return named ?? `\\x${one.charCodeAt(0).toString(16).padStart(2, '0')}`;
  });
}
