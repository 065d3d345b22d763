/** `stillwell demo`: the demonstration bench. */
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { type Running, run } from './run.ts';

export interface DemoOptions {
  readonly port?: number;
  readonly log: string;
  readonly seed?: number;
}

export async function demo(options: DemoOptions, out: NodeJS.WritableStream): Promise<Pick<Running, 'stop' | 'url'>> {
  const { startDemo } = await import('../../simulators/demo.ts');
  const dir = mkdtempSync(join(tmpdir(), 'stillwell-demo-'));
  const world = await startDemo({ dir, seed: options.seed ?? 7 });
  const running = await run(world.benchFile, { log: options.log, port: options.port ?? 8720 });
  out.write(`${running.name} (demonstration): ${running.url}\n`);
  return {
    url: running.url,
    async stop() {
      await running.stop();
      await world.stop();
      rmSync(dir, { recursive: true, force: true });
    },
  };
}
