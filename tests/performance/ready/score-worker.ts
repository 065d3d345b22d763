/** Scores the seeds that it is sent, one at a time: whole benches, or their first readings alone. */
import { parentPort } from 'node:worker_threads';
import { evaluate, evaluateReading } from './one-bench.ts';
import type { Question } from './pool.ts';

parentPort?.on('message', ({ seed, readingOnly }: Question) => {
  const found = readingOnly ? evaluateReading(seed) : evaluate(seed).then(({ score }) => score);
  found.then(
    (score) => parentPort?.postMessage({ score }),
    (error: unknown) => parentPort?.postMessage({ seed, error: error instanceof Error ? error.stack : String(error) }),
  );
});
