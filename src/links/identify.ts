/** Asks a device who it is before anything of it is handed on. */
import type { Identify } from '../core/description.ts';
import { type Clock, type Connection, type Door, LinkFault } from './contract.ts';
import { shown } from './door-parts.ts';

/** A board that restarts when its port is opened does not hear the first question. */
const ASK_AGAIN_US = 1_000_000;
/** Longer text without a line end is no answer. */
const LONGEST_LINE = 1024;

/**
 * A door that opens only to the right device: another answer is a fault `other-device`, none at all `timed-out`, and the
 * port is closed again. What comes before the right answer is not handed on.
 */
export function askingDoor(door: Door, identify: Identify, clock: Clock): Door {
  const { name } = door;
  return {
    name,
    async open(handlers, signal): Promise<Connection> {
      const answer = waitForAnswer(identify, clock);
      let known = false;
      const connection = await door.open(
        {
          onBytes: (chunk) => (known ? handlers.onBytes(chunk) : answer.take(chunk)),
          onEnd(reason, detail) {
            if (known) handlers.onEnd(reason, detail);
            else answer.giveUp(new LinkFault(reason, detail));
          },
        },
        signal,
      );
      const stop = (): void => answer.giveUp(new LinkFault('stopped', 'given up while opening'));
      signal?.addEventListener('abort', stop, { once: true });
      if (signal?.aborted) stop();
      try {
        await answer.to((bytes) => connection.write(bytes));
        known = true;
        return connection;
      } catch (error) {
        await connection.close();
        throw error;
      } finally {
        signal?.removeEventListener('abort', stop);
      }
    },
  };
}

interface Answer {
  take(chunk: Uint8Array): void;
  giveUp(fault: LinkFault): void;
  /** Asks, and settles with the right answer; rejects with the fault. */
  to(write: (bytes: Uint8Array) => Promise<void>): Promise<void>;
}

function waitForAnswer({ send, expect, withinUs }: Identify, clock: Clock): Answer {
  const question = Uint8Array.from(send, (one) => one.charCodeAt(0));
  let line = '';
  let heard = '';
  let settle = { right: (): void => {}, wrong: (_fault: LinkFault): void => {} };
  const settled = new Promise<void>((right, wrong) => {
    settle = { right, wrong };
  });
  settled.catch(() => {}); // it may be given up before anybody waits

  const endLine = (): void => {
    const text = line.trim();
    line = '';
    if (text === '') return;
    heard = text;
    if (text === expect) settle.right();
  };

  return {
    take(chunk) {
      for (const byte of chunk) {
        if (byte === 0x0a || byte === 0x0d) endLine();
        else if (line.length < LONGEST_LINE) line += String.fromCharCode(byte);
      }
    },
    giveUp: (fault) => settle.wrong(fault),
    async to(write) {
      const limitUs = clock.nowUs() + withinUs;
      let cancelAsk = (): void => {};
      const ask = (): void => {
        // a write that fails comes with the end of the connection, or with no answer
        write(question).catch(() => {});
        const nextUs = clock.nowUs() + ASK_AGAIN_US;
        if (nextUs < limitUs) cancelAsk = clock.at(nextUs, ask);
      };
      const cancelLimit = clock.at(limitUs, () => {
        const said = heard === '' ? line : heard;
        const asked = `asked "${shown(send)}", expected "${shown(expect)}"`;
        const within = `within ${withinUs / 1_000_000} s`;
        settle.wrong(
          said === ''
            ? new LinkFault('timed-out', `${asked}: no answer ${within}`)
            : new LinkFault('other-device', `${asked}: "${shown(said)}" came ${within}`),
        );
      });
      ask();
      try {
        await settled;
      } finally {
        cancelAsk();
        cancelLimit();
      }
    },
  };
}
