/** A device in memory under supervision in virtual time, made anew by `reset` before each test. */
import { type VirtualClock, virtualClock } from '../../src/links/clock.ts';
import type { Door } from '../../src/links/contract.ts';
import { type MemoryTwin, memoryTwin } from '../../src/links/memory.ts';
import { type LinkEvent, type Supervised, supervise } from '../../src/links/supervise.ts';
import { told } from './listener.ts';
import { runFor } from './virtual-time.ts';

export const MS = 1_000;
export const S = 1_000_000;

export let clock: VirtualClock;
export let twin: MemoryTwin;
export let events: { atUs: number; event: LinkEvent }[];

export function reset(): void {
  clock = virtualClock();
  twin = memoryTwin('probe');
  events = [];
}

export function start(
  over: { door?: Door; intervalUs?: number; onEvent?: (event: LinkEvent) => void } = {},
): Supervised {
  return supervise({
    door: over.door ?? twin.door,
    instrument: 'probe',
    framing: { kind: 'lines', capBytes: 64 },
    clock,
    intervalUs: over.intervalUs ?? 500 * MS,
    onEvent(event) {
      events.push({ atUs: clock.nowUs(), event });
      over.onEvent?.(event);
    },
  });
}

export const lines = (): string[] => events.map(({ event }) => told(event));
export const timed = (): string[] => events.map(({ atUs, event }) => `${atUs / MS} ms ${told(event)}`);
export const linkDetails = (): string[] => events.flatMap(({ event }) => (event.kind === 'link' ? [event.detail] : []));

/** Lets the device talk once in each interval. */
export async function talk(forUs: number, everyUs = 500 * MS): Promise<void> {
  const untilUs = clock.nowUs() + forUs;
  while (clock.nowUs() + everyUs <= untilUs) {
    await runFor(clock, everyUs);
    twin.send('T=20.5\r\n');
  }
}
