/**
 * The door of a Bluetooth LE device. Each opening takes the radio anew, listens for the device, connects and reads its
 * table of characteristics again: nothing is kept that could be stale, and no handler can be set twice.
 */
import type { LinkDescription } from '../core/description.ts';
import { type Calls, callQueue } from './ble-calls.ts';
import { bleWords, fits } from './ble-find.ts';
import { advertisedLines, START, valueLine } from './ble-lines.ts';
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

/** A value that had to wait longer for the end of the opening would get a wrong time. */
const LONGEST_HELD_US = 500_000;

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
    const held: { readonly atUs: number; readonly chunk: Uint8Array }[] = [];
    const calls = callQueue(clock);
    /** Whoever opens the door has its answer, and takes what comes. */
    let answered = false;
    let over: LinkFault | null = null;
    let radio: BleRadio | null = null;
    let device: BleDevice | null = null;
    let left: Promise<void> | null = null;
    const abort = new AbortController();
    const cancels = new Set<() => void>();

    const deliver = (chunk: Uint8Array): void => {
      if (answered) life.arrive(chunk);
      else held.push({ atUs: clock.nowUs(), chunk });
    };
    const leave = (): Promise<void> => {
      abort.abort();
      for (const cancel of cancels) cancel();
      left ??= takeLeave(clock, limits.closeUs, device).finally(() => radio?.close());
      leaving = left;
      return left;
    };
    /** The connection ends, or the opening fails: whichever it is at. */
    const end = (fault: LinkFault): Promise<void> => {
      over ??= fault;
      calls.stop(fault);
      const leaves = leave();
      if (answered) life.end(fault.reason, fault.message);
      return leaves;
    };
    const lost = (fault: LinkFault): void => void end(fault);
    const reads = (wanted: Wanted, everyUs: number): void => {
      const dueUs = clock.nowUs() + everyUs;
      const again = (): void => {
        cancels.delete(cancel);
        read(wanted)
          .then(() => reads(wanted, everyUs))
          .catch((error: unknown) => lost(asFault(error)));
      };
      const cancel = clock.at(dueUs, again);
      cancels.add(cancel);
    };
    const read = async ({ name: called, characteristic }: Wanted): Promise<void> => {
      const value = await calls.run(`reading ${called}`, limits.callUs, () => need(device).read(characteristic));
      deliver(valueLine(called, value));
    };

    const advertised = async (): Promise<void> => {
      deliver(START);
      const turns = takingTurns();
      const { heard } = await listen(({ arrived, ...rest }) => {
        if (arrived === null || fits(link.find, { arrived, ...rest }) !== 'fits') return;
        if (turns.cameBack(rest.address)) {
          const words = `${bleWords(link.find)} is advertised by ${turns.both}: give the address`;
          lost(new LinkFault('ambiguous', words));
        } else for (const line of advertisedLines(arrived)) deliver(line);
      });
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
        if (!forgotten) forgotten = await calls.run('forgetting', limits.callUs, () => need(radio).forget(address));
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
      reads(wanted, take.everyUs);
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
      answered = true;
      const oldestUs = clock.nowUs() - LONGEST_HELD_US;
      for (const { atUs, chunk } of held) if (chunk === START || atUs >= oldestUs) life.arrive(chunk);
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

async function takeLeave(clock: Clock, limitUs: number, device: BleDevice | null): Promise<void> {
  if (device === null) return;
  const goodbye = callQueue(clock);
  await goodbye.run('disconnecting', limitUs, () => device.disconnect()).catch(() => {});
}

async function writePieces(
  calls: Calls,
  bytes: Uint8Array,
  mostBytes: number,
  limitUs: number,
  write: (piece: Uint8Array) => Promise<void>,
): Promise<void> {
  const pieces = Array.from({ length: Math.ceil(bytes.length / mostBytes) }, (_, index) =>
    bytes.subarray(index * mostBytes, (index + 1) * mostBytes),
  );
  await Promise.all(pieces.map((piece) => calls.run('writing', limitUs, () => write(piece))));
}

/** A device may change its address; two that fit give themselves away when the first one comes back. */
function takingTurns() {
  let last = '';
  const before = new Set<string>();
  return {
    get both() {
      return [...before, last].join(' and ');
    },
    cameBack(address: string): boolean {
      if (address === last) return false;
      if (before.has(address)) return true;
      if (last !== '') before.add(last);
      last = address;
      return false;
    },
  };
}

function asFault(error: unknown): LinkFault {
  return error instanceof LinkFault ? error : new LinkFault('io-error', messageOf(error));
}

function need<T>(part: T | null): T {
  if (part === null) throw new LinkFault('stopped', 'the radio is given back');
  return part;
}
