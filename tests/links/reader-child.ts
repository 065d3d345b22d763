/**
 * A process that reads one link, given as JSON, and tells its events line by line; on SIGTERM it stops, and tells what
 * it took.
 */
import { monitorEventLoopDelay } from 'node:perf_hooks';
import type { LinkDescription } from '../../src/core/description.ts';
import { realClock } from '../../src/links/clock.ts';
import { doorFor } from '../../src/links/make.ts';
import { supervise } from '../../src/links/supervise.ts';
import { told } from './listener.ts';

export interface Taken {
  /** Resident memory at the first discard or frame, and the most of it since, bytes. */
  readonly firstRss: number;
  readonly mostRss: number;
  /** The longest that the event loop was held up since then, ms. */
  readonly mostLagMs: number;
  readonly cpuMs: number;
  readonly discardedBytes: number;
}

const clock = realClock();
const lag = monitorEventLoopDelay({ resolution: 5 });
lag.enable();
let firstRss = 0;
let mostRss = 0;
let discardedBytes = 0;
let cpu = process.cpuUsage();

const look = (): void => {
  const rss = process.memoryUsage.rss();
  if (firstRss === 0) {
    firstRss = rss;
    cpu = process.cpuUsage();
    lag.reset();
  }
  mostRss = Math.max(mostRss, rss);
};

const link = supervise({
  door: doorFor(JSON.parse(process.argv[2] ?? '') as LinkDescription, clock),
  instrument: 'probe',
  framing: { kind: 'lines', capBytes: 512 },
  clock,
  intervalUs: 500_000,
  onEvent(event) {
    if (event.kind === 'discard' && event.reason === 'too-long') {
      discardedBytes += event.count;
      look();
      return;
    }
    const detail = event.kind === 'link' ? ` ${event.detail}` : '';
    process.stdout.write(`${told(event)}${detail}\n`);
  },
});

process.on('SIGTERM', () => {
  const { user, system } = process.cpuUsage(cpu);
  const taken: Taken = { firstRss, mostRss, mostLagMs: lag.max / 1e6, cpuMs: (user + system) / 1000, discardedBytes };
  process.stdout.write(`${JSON.stringify(taken)}\n`);
  void link.stop().then(() => process.stdin.destroy());
});
