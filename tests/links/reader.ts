/** Starts reader-child.ts and waits for what it says. */
import { type ChildProcess, spawn } from 'node:child_process';
import { once } from 'node:events';
import { join } from 'node:path';
import { vi } from 'vitest';
import type { LinkDescription } from '../../src/core/description.ts';
import { ROOT } from '../repo/house.ts';
import type { Taken } from './reader-child.ts';

export interface ReaderProcess {
  readonly process: ChildProcess;
  readonly lines: () => string[];
  /** Settles once a line fits. */
  readonly says: (pattern: RegExp) => Promise<string>;
  /** Stops it, and answers what it took. */
  readonly stop: () => Promise<Taken>;
}

/** @param prefix a command that runs the process, such as one that takes its rights away */
export function startReader(link: LinkDescription, prefix: readonly string[] = []): ReaderProcess {
  const child = join(ROOT, 'dist/tests/links/reader-child.js');
  const [command, ...args] = [...prefix, process.execPath, child, JSON.stringify(link)];
  const running = spawn(command, args, { stdio: ['ignore', 'pipe', 'inherit'], cwd: '/' });
  let text = '';
  running.stdout.on('data', (chunk: Buffer) => {
    text += chunk.toString('latin1');
  });
  const lines = (): string[] => text.split('\n').filter((line) => line !== '');
  return {
    process: running,
    lines,
    says: (pattern) =>
      vi.waitFor(
        () => {
          const found = lines().find((line) => pattern.test(line));
          if (found === undefined) throw new Error(`not said: ${pattern}\n${text.slice(-2000)}`);
          return found;
        },
        { timeout: 20_000, interval: 10 },
      ),
    async stop() {
      const closed = once(running, 'close');
      running.kill('SIGTERM');
      await closed;
      const last = lines().find((line) => line.startsWith('{'));
      if (last === undefined) throw new Error(`it did not tell what it took:\n${text.slice(-2000)}`);
      return JSON.parse(last) as Taken;
    },
  };
}
