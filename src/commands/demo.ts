/** `stillwell demo`: the demonstration bench. */
import { mkdtempSync, rmSync, statSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import type { Demo } from '../../simulators/demo.ts';
import { StillwellError } from '../errors.ts';
import type { FeedSource } from '../feed/source.ts';
import { type Running, run } from './run.ts';

export interface DemoOptions {
  readonly port?: number;
  readonly log: string;
  readonly seed?: number;
  /** What the simulated boards speak; text without it. */
  readonly instruments?: 'text' | 'modbus' | 'ble';
  /** Folder for the bench file and the record; kept. Without it a temporary one, removed at the end. */
  readonly keep?: string;
}

export async function demo(options: DemoOptions, out: NodeJS.WritableStream): Promise<Pick<Running, 'stop' | 'url'>> {
  const { startDemo } = await import('../../simulators/demo.ts');
  const { dbusDaemonAvailable } = await import('../../simulators/private-bus.ts');
  if (options.keep !== undefined && statSync(options.keep, { throwIfNoEntry: false })?.isFile())
    throw new StillwellError('file-unwritable', options.keep, 'it is a file, a folder is wanted');
  if (options.instruments === 'ble' && !dbusDaemonAvailable())
    throw new StillwellError('part-missing', 'demo --instruments ble', 'dbus-daemon');
  const dir = options.keep ?? mkdtempSync(join(tmpdir(), 'stillwell-demo-'));
  const world = await startDemo({
    dir,
    ...(options.seed === undefined ? {} : { seed: options.seed }),
    ...(options.instruments === undefined ? {} : { instruments: options.instruments }),
  });
  const clearUp = async () => {
    await world.stop();
    if (options.keep === undefined) rmSync(dir, { recursive: true, force: true });
  };
  const running = await run(world.benchFile, {
    log: options.log,
    port: options.port ?? 8720,
    ...(world.bluetoothBus === null ? {} : { bluetoothBus: world.bluetoothBus }),
  }).catch(async (error) => {
    await clearUp();
    throw error;
  });
  const followed = follow(running.source, world.hands);
  out.write(`${running.name} (demonstration): ${running.url}\n`);
  return {
    url: running.url,
    async stop() {
      followed();
      await running.stop();
      await clearUp();
    },
  };
}

/** The simulated hands do what the open job says. Returns what ends it. */
function follow(source: FeedSource, hands: Demo['hands']): () => void {
  let seen = source.lastEvent();
  hands.work(source.snapshot().job !== null);
  let last = Promise.resolve();
  const catchUp = async (): Promise<void> => {
    for (const { outcome } of await source.events(seen, 100)) {
      seen = outcome.event;
      if (outcome.kind === 'job') hands.work(outcome.change !== 'closed');
      // A correction moves nothing: it says what was moved before.
      if (outcome.kind !== 'amount' || outcome.made.corrects !== null) continue;
      const { kind, amount, unit, tC } = outcome.made;
      if (kind === 'in' || kind === 'out') hands.move(kind, amount, unit, tC);
    }
  };
  return source.subscribe({
    onEvents() {
      // Where the record cannot be read just now, the next event brings all of it.
      last = last.then(catchUp).catch(() => {});
    },
    onLive() {},
  });
}
