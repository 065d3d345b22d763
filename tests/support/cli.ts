/** Runs the command line as a user does, from dist, and waits for what it says. */
import { type ChildProcess, spawn } from 'node:child_process';
import { once } from 'node:events';
import { join } from 'node:path';
import { ROOT } from '../repo/house.ts';

export interface Cli {
  readonly process: ChildProcess;
  output(): string;
  /** Resolves with the match once the output fits; rejects with the whole output when the process ends before. */
  says(pattern: RegExp): Promise<RegExpExecArray>;
  /** Exit code, or null when it was killed. */
  readonly ended: Promise<number | null>;
  stop(signal?: NodeJS.Signals): Promise<number | null>;
}

export function stillwell(...args: readonly string[]): Cli {
  const child = spawn(process.execPath, [join(ROOT, 'dist/src/main.js'), ...args], {
    stdio: ['ignore', 'pipe', 'pipe'],
  });
  let text = '';
  const waiting = new Set<() => void>();
  const take = (chunk: Buffer) => {
    text += chunk.toString();
    for (const look of waiting) look();
  };
  child.stdout.on('data', take);
  child.stderr.on('data', take);
  const ended = once(child, 'close').then(([code]) => code as number | null);
  return {
    process: child,
    output: () => text,
    ended,
    says(pattern) {
      return new Promise((resolve, reject) => {
        const look = () => {
          const found = pattern.exec(text);
          if (!found) return;
          waiting.delete(look);
          resolve(found);
        };
        waiting.add(look);
        look();
        void ended.then((code) => reject(new Error(`ended with ${code} before ${pattern}:\n${text}`)));
      });
    },
    stop(signal = 'SIGTERM') {
      child.kill(signal);
      return ended;
    },
  };
}
