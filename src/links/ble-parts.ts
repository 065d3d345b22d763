/** What a Bluetooth connection is made of besides its calls. */
import type { BleFind } from '../core/description.ts';
import { type Calls, callQueue } from './ble-calls.ts';
import { bleWords, fits } from './ble-find.ts';
import { advertisedLines, START } from './ble-lines.ts';
import type { BleDevice, Heard } from './ble-stack.ts';
import { type Clock, LinkFault } from './contract.ts';

/** A value that had to wait longer for the end of the opening would get a wrong time. */
const LONGEST_HELD_US = 500_000;

/** Keeps what comes during the opening until whoever opens the door has its answer. */
export function holdBack(clock: Clock, arrive: (chunk: Uint8Array) => void) {
  const held: { readonly atUs: number; readonly chunk: Uint8Array }[] = [];
  let released = false;
  return {
    get released(): boolean {
      return released;
    },
    deliver(chunk: Uint8Array): void {
      if (released) arrive(chunk);
      else held.push({ atUs: clock.nowUs(), chunk });
    },
    release(): void {
      released = true;
      const oldestUs = clock.nowUs() - LONGEST_HELD_US;
      for (const { atUs, chunk } of held.splice(0)) if (chunk === START || atUs >= oldestUs) arrive(chunk);
    },
  };
}

/** Runs work again and again, each time so long after the last has ended. */
export function repeater(clock: Clock) {
  const cancels = new Set<() => void>();
  let stopped = false;
  const repeat = (everyUs: number, work: () => Promise<void>, onError: (error: unknown) => void): void => {
    if (stopped) return;
    const cancel = clock.at(clock.nowUs() + everyUs, () => {
      cancels.delete(cancel);
      work().then(() => repeat(everyUs, work, onError), onError);
    });
    cancels.add(cancel);
  };
  return {
    repeat,
    stop(): void {
      stopped = true;
      for (const cancel of cancels) cancel();
    },
  };
}

/**
 * Hands on what the device of the link advertises. It may change its address; two devices that fit give themselves away
 * when the first one comes back.
 */
export function advertisements(find: BleFind, deliver: (line: Uint8Array) => void, lost: (fault: LinkFault) => void) {
  let last: string | null = null;
  const before = new Set<string>();
  return (heard: Heard): void => {
    const { address, arrived } = heard;
    if (arrived === null || fits(find, heard) !== 'fits') return;
    if (before.has(address) && address !== last) {
      const all = [...new Set([...before, last])].join(' and ');
      lost(new LinkFault('ambiguous', `${bleWords(find)} is advertised by ${all}: give the address`));
      return;
    }
    before.add(address);
    last = address;
    for (const line of advertisedLines(arrived)) deliver(line);
  };
}

/** Settles when the device has been let go, or after the limit. */
export async function takeLeave(clock: Clock, limitUs: number, device: BleDevice | null): Promise<void> {
  if (device === null) return;
  await callQueue(clock)
    .run('disconnecting', limitUs, () => device.disconnect())
    .catch(() => {});
}

export async function writePieces(
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
