/** A supervised Bluetooth link in virtual time over a real bus: time stands still until it is told otherwise. */
import { setImmediate as turn } from 'node:timers/promises';
import type { BleFind, BleTake } from '../../src/core/description.ts';
import type { LinkChange } from '../../src/core/events.ts';
import { type VirtualClock, virtualClock } from '../../src/links/clock.ts';
import { type LinkEvent, supervise } from '../../src/links/supervise.ts';
import type { BleRig } from './ble-rig.ts';
import { latin1 } from './listener.ts';

export interface BleSession {
  readonly clock: VirtualClock;
  readonly events: readonly LinkEvent[];
  /** The frames so far, as text. */
  readonly frames: readonly string[];
  readonly changes: readonly LinkChange[];
  readonly last: LinkChange | undefined;
  /** Turns of the event loop, in which no time passes, until it holds. */
  until(holds: () => boolean): Promise<void>;
  /** Until the link is in this state for this reason; timers are fired as they are due, one after the other. */
  untilLink(state: LinkChange['state'], reason?: LinkChange['reason']): Promise<LinkChange>;
  write(bytes: Uint8Array, request: number): void;
  /** Lets time pass; what each timer sets going comes to its end before the next one. */
  pass(us: number): Promise<void>;
  stop(): Promise<void>;
}

/**
 * Round trips over the bus without any news: a step of the link takes one of them, its longest way between two pieces of
 * news (the greetings of a new connection to the bus) some six.
 */
const QUIET_TRIPS = 12;

export function bleSession(rig: BleRig, take: BleTake, find?: BleFind, intervalUs = 1_000_000): BleSession {
  const clock = virtualClock();
  const events: LinkEvent[] = [];
  const link = supervise({
    door: rig.door(take, find, clock),
    instrument: 'probe',
    framing: { kind: 'lines', capBytes: 1100 },
    clock,
    intervalUs,
    onEvent: (event) => events.push(event),
  });
  const changes = (): LinkChange[] => events.filter((event) => event.kind === 'link');
  const oneTurn = async (): Promise<void> => {
    clock.advanceTo(clock.nowUs());
    await turn();
  };
  const news = (): string =>
    JSON.stringify([events.length, clock.nextUs(), Object.values(rig.service.calls), rig.device.written.length]);
  /** Until nothing is under way any more and only time can bring something new. */
  const quiet = async (): Promise<void> => {
    for (let trips = 0, before = news(); trips < QUIET_TRIPS; trips++) {
      await rig.roundTrip();
      await oneTurn();
      const now = news();
      if (now !== before) trips = 0;
      before = now;
    }
  };
  const until = async (holds: () => boolean): Promise<void> => {
    while (!holds()) await oneTurn();
  };
  return {
    clock,
    events,
    get frames() {
      return events.flatMap((event) => (event.kind === 'frame' ? [latin1(event.bytes)] : []));
    },
    get changes() {
      return changes();
    },
    get last() {
      return changes().at(-1);
    },
    until,
    async untilLink(state, reason) {
      const is = (): boolean => {
        const last = changes().at(-1);
        return last?.state === state && (reason === undefined || last.reason === reason);
      };
      while (!is()) {
        await quiet();
        const next = clock.nextUs();
        if (!is() && next !== null) clock.advanceTo(Math.max(next, clock.nowUs()));
      }
      return changes().at(-1) as LinkChange;
    },
    write: (bytes, request) => link.write(bytes, request),
    async pass(us) {
      const endUs = clock.nowUs() + us;
      await quiet();
      for (let next = clock.nextUs(); next !== null && next <= endUs; next = clock.nextUs()) {
        clock.advanceTo(Math.max(next, clock.nowUs()));
        await quiet();
      }
      clock.advanceTo(endUs);
      await quiet();
    },
    async stop() {
      let stopped = false;
      const stopping = link.stop().then(() => {
        stopped = true;
      });
      while (!stopped) {
        await quiet();
        const next = clock.nextUs();
        if (!stopped && next !== null) clock.advanceTo(Math.max(next, clock.nowUs()));
      }
      await stopping;
    },
  };
}
