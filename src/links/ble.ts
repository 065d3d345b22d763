/**
 * The door of a Bluetooth LE device. Each opening takes the radio anew, listens for the device, connects and reads its
 * table of characteristics again: nothing is kept that could be stale, and no handler can be set twice.
 */
import type { LinkDescription } from '../core/description.ts';
import { callQueue } from './ble-calls.ts';
import { bleWords } from './ble-find.ts';
import { START, valueLine } from './ble-lines.ts';
import { advertisements, holdBack, repeater, takeLeave, writePieces } from './ble-parts.ts';
import { type Found, listenFor } from './ble-search.ts';
import type { BleDevice, BleRadio, BleStack, Heard } from './ble-stack.ts';
import { type Wanted, wantedOf } from './ble-take.ts';
import { type Clock, type Connection, type ConnectionHandlers, type Door, LinkFault } from './contract.ts';
import { connectionLife, messageOf, within } from './door-parts.ts';

type BleLink = Extract<LinkDescription, { kind: 'ble' }>;

export interface BleLimits {
  /** The whole of an opening. */
  readonly openUs: number;
  readonly scanUs: number;
  readonly connectUs: number;
  /** Any other call. */
  readonly callUs: number;
  /** Taking leave of the device. */
  readonly closeUs: number;
}

/** A device that sleeps between its advertisements is heard within a few seconds; common practice, no source. */
export const BLE_LIMITS: BleLimits = {
  openUs: 27_000_000,
  scanUs: 10_000_000,
  connectUs: 12_000_000,
  callUs: 5_000_000,
  closeUs: 2_000_000,
};

export interface BleOptions {
  readonly link: BleLink;
  readonly clock: Clock;
  readonly stack: BleStack;
  readonly limits?: BleLimits;
}

export function bleDoor({ link, clock, stack, limits = BLE_LIMITS }: BleOptions): Door {
  const name = `Bluetooth ${bleWords(link.find)}`;
  let leaving: Promise<void> = Promise.resolve();
  /** The table of the device did not fit and was forgotten; it is not forgotten again before it has fitted. */
  let forgotten = false;

  const open = async (handlers: ConnectionHandlers, signal?: AbortSignal): Promise<Connection> => {
    const life = connectionLife(name, handlers);
    const held = holdBack(clock, (chunk) => life.arrive(chunk));
    const calls = callQueue(clock);
    let over: LinkFault | null = null;
    let radio: BleRadio | null = null;
    let device: BleDevice | null = null;
    let left: Promise<void> | null = null;
    const abort = new AbortController();
    const reads = repeater(clock);
    const { deliver } = held;

    const leave = (): Promise<void> => {
      abort.abort();
      reads.stop();
      left ??= takeLeave(clock, limits.closeUs, device).finally(() => radio?.close());
      leaving = left;
      return left;
    };
    /** The connection ends, or the opening fails: whichever it is at. */
    const end = (fault: LinkFault): Promise<void> => {
      over ??= fault;
      calls.stop(fault);
      const leaves = leave();
      if (held.released) life.end(fault.reason, fault.message);
      return leaves;
    };
    const lost = (fault: LinkFault): void => void end(fault);
    const read = async ({ name: called, characteristic }: Wanted): Promise<void> => {
      const value = await calls.run(`reading ${called}`, limits.callUs, () => need(device).read(characteristic));
      deliver(valueLine(called, value));
    };

    const advertised = async (): Promise<void> => {
      deliver(START);
      const { heard } = await listen(advertisements(link.find, deliver, lost));
      if (heard === null) throw new LinkFault('not-in-range', `${bleWords(link.find)} is known, but was not heard`);
    };

    /** Settles with the device. What is heard, now and as long as it is listened for, goes to `onHeard`. */
    const listen = (onHeard: (heard: Heard) => void): Promise<Found> => {
      const scan: BleRadio['scan'] = (tell) =>
        need(radio).scan((heard) => {
          tell(heard);
          onHeard(heard);
        });
      const limitUs = limits.scanUs + limits.callUs;
      return calls.run('listening', limitUs, () => listenFor(link.find, { scan }, clock, limits.scanUs, abort.signal));
    };

    const connected = async (take: Exclude<BleLink['take'], { kind: 'advertised' }>): Promise<Wanted[]> => {
      const { address } = await listen(() => {});
      // one that goes on listening is no harm
      await calls.run('ending to listen', limits.callUs, () => need(radio).stopScan()).catch(() => {});
      const there = await calls.run(`connecting to ${address}`, limits.connectUs, () =>
        need(radio).connect(address, lost),
      );
      device = there;
      let wanted: Wanted[];
      try {
        wanted = wantedOf(take, there.characteristics);
      } catch (error) {
        const forget = (): Promise<boolean> => need(radio).forget(address);
        if (!forgotten) forgotten = await calls.run('forgetting', limits.callUs, forget).catch(() => false);
        throw error;
      }
      forgotten = false;
      if (take.kind === 'values') deliver(START);
      for (const one of wanted) await begin(one, take, there);
      return wanted;
    };

    const begin = async (wanted: Wanted, take: BleLink['take'], there: BleDevice): Promise<void> => {
      const { name: called, characteristic, how } = wanted;
      if (how === 'write') return;
      if (how === 'subscribe') {
        const onValue = (value: Uint8Array): void => deliver(take.kind === 'text' ? value : valueLine(called, value));
        try {
          return await calls.run(`subscribing to ${called}`, limits.callUs, () =>
            there.subscribe(characteristic, onValue),
          );
        } catch (error) {
          // what cannot be had by itself can be asked for, unless it is a stream
          const refused = error instanceof LinkFault && (error.reason === 'busy' || error.reason === 'forbidden');
          if (!refused || take.kind !== 'values' || !characteristic.readable) throw error;
        }
      }
      if (take.kind !== 'values') return;
      await read(wanted);
      reads.repeat(
        take.everyUs,
        () => read(wanted),
        (error) => lost(asFault(error)),
      );
    };

    const work = async (): Promise<Wanted[]> => {
      await leaving;
      await calls.run('the Bluetooth service', limits.callUs, async () => {
        const taken = await stack.open(link.adapter, lost, abort.signal);
        if (left !== null) taken.close(); // too late: nobody waits for it any more
        radio = taken;
      });
      return link.take.kind === 'advertised' ? advertised().then(() => []) : connected(link.take);
    };

    const attempt = { work: work(), abandon: () => void end(new LinkFault('stopped', 'given up while opening')) };
    attempt.work.catch(() => {}); // given up, it is still rejected
    let wanted: Wanted[];
    try {
      wanted = await within(attempt, clock, limits.openUs, signal);
    } catch (error) {
      const fault = asFault(error);
      void end(fault);
      throw fault;
    }
    // what came during the opening is handed over once whoever opened has its answer
    clock.endOfTurn(() => {
      held.release();
      if (over !== null) life.end(over.reason, over.message);
    });
    const to = wanted.find(({ how }) => how === 'write')?.characteristic;
    return {
      write: (bytes) => {
        const copy = Uint8Array.from(bytes);
        return life.write(() =>
          to === undefined
            ? Promise.reject(new LinkFault('lacks-value', `${name}: the link has nothing to write to`))
            : writePieces(calls, copy, to.mostBytes, limits.callUs, (piece) => need(device).write(to, piece)),
        );
      },
      close: async () => {
        const leaves = end(new LinkFault('stopped', 'closed by Stillwell'));
        life.end('stopped', 'closed by Stillwell');
        await leaves;
      },
    };
  };
  return { name, open };
}

function asFault(error: unknown): LinkFault {
  return error instanceof LinkFault ? error : new LinkFault('io-error', messageOf(error));
}

function need<T>(part: T | null): T {
  if (part === null) throw new LinkFault('stopped', 'the radio is given back');
  return part;
}
