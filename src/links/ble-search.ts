/** Listens until the device of a link is heard. */
import type { BleFind } from '../core/description.ts';
import { bleWords, fits } from './ble-find.ts';
import type { BleRadio, Heard } from './ble-stack.ts';
import { type Clock, LinkFault } from './contract.ts';

/** How long others are listened for that fit as well, where a device is not known by its address. */
const DOUBLE_US = 1_000_000;
const MOST_NAMED = 8;

export interface Found {
  readonly address: string;
  /** Null where the device is only known from earlier. */
  readonly heard: Heard | null;
}

/**
 * Settles with the device; rejects with `not-in-range`, `other-device` or `ambiguous`. A device of this address that
 * the system knows but that is not heard is handed over at the limit: some advertise to their own partners only.
 */
export async function listenFor(
  find: BleFind,
  radio: Pick<BleRadio, 'scan'>,
  clock: Clock,
  limitUs: number,
  signal: AbortSignal,
): Promise<Found> {
  const fitting = new Map<string, Heard>();
  const others = new Map<string, Heard>();
  let known = false;
  let contradicts = false;
  let starting = true;
  let cancelDouble = (): void => {};
  let done = (): void => {};
  const heardIt = new Promise<void>((resolve) => {
    done = resolve;
  });
  const cancelLimit = clock.at(clock.nowUs() + limitUs, done);
  signal.addEventListener('abort', done, { once: true });
  try {
    const started = radio.scan((heard) => {
      const fit = fits(find, heard);
      if (heard.arrived === null) known ||= fit === 'fits';
      else if (fit === 'fits') {
        if (find.address !== null) done();
        else if (fitting.size === 0) cancelDouble = clock.at(clock.nowUs() + DOUBLE_US, done);
        fitting.set(heard.address, heard);
      } else {
        contradicts ||= fit === 'other';
        others.set(heard.address, heard);
      }
    });
    const running = started.then(() => {
      starting = false;
      return heardIt;
    });
    await Promise.race([running, heardIt]);
  } finally {
    cancelLimit();
    cancelDouble();
    signal.removeEventListener('abort', done);
  }
  const [first, second] = fitting.values();
  const words = bleWords(find);
  if (second !== undefined) {
    throw new LinkFault(
      'ambiguous',
      `${words} is advertised by ${[...fitting.keys()].join(' and ')}: give the address`,
    );
  }
  if (first !== undefined) return { address: first.address, heard: first };
  if (contradicts) throw new LinkFault('other-device', `${find.address} advertises other data than ${words}`);
  if (known && find.address !== null) return { address: find.address, heard: null };
  if (starting) throw new LinkFault('timed-out', `starting to listen: no answer within ${limitUs / 1_000_000} s`);
  const heard = [...others.values()].slice(0, MOST_NAMED).map(({ address, rssiDbm }) => `${address} (${rssiDbm} dBm)`);
  const instead = heard.length === 0 ? 'no device at all' : heard.join(', ');
  throw new LinkFault('not-in-range', `${words} was not heard within ${limitUs / 1_000_000} s; heard: ${instead}`);
}
