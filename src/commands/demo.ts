/** `stillwell demo`: the demonstration bench. */
import { mkdtempSync, rmSync, statSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { StillwellError } from '../errors.ts';
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
  out.write(`${running.name} (demonstration): ${running.url}\n`);
  return {
    url: running.url,
    async stop() {
      await running.stop();
      await clearUp();
    },
  };
}
