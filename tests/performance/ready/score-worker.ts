/** Scores the seeds that it is sent, one at a time. */
import { parentPort } from 'node:worker_threads';
import { evaluate } from './one-bench.ts';

parentPort?.on('message', (seed: number) => {
  evaluate(seed).then(
    ({ score }) => parentPort?.postMessage({ score }),
    (error: unknown) => parentPort?.postMessage({ seed, error: error instanceof Error ? error.stack : String(error) }),
  );
});
