/** Many benches on as many threads as there are processors. */
import { cpus } from 'node:os';
import { Worker } from 'node:worker_threads';
import type { BenchScore } from './one-bench.ts';

type Answer = { readonly score: BenchScore } | { readonly seed: number; readonly error: string };

/** In the order of the seeds, whichever thread was first. Runs from dist. */
export async function scoreAll(seeds: readonly number[], onProgress: (done: number) => void): Promise<BenchScore[]> {
  const scores: BenchScore[] = [];
  const waiting = [...seeds];
  const threads = Math.max(1, Math.min(cpus().length, 8, seeds.length));
  await Promise.all(
    Array.from({ length: threads }, async () => {
      const worker = new Worker(new URL('./score-worker.js', import.meta.url));
      try {
        for (let seed = waiting.shift(); seed !== undefined; seed = waiting.shift()) {
          const answer = await ask(worker, seed);
          if ('error' in answer) throw new Error(`seed ${answer.seed}: ${answer.error}`);
          scores.push(answer.score);
          onProgress(scores.length);
        }
      } finally {
        await worker.terminate();
      }
    }),
  );
  const order = new Map(seeds.map((seed, i) => [seed, i]));
  return scores.sort((a, b) => (order.get(a.seed) ?? 0) - (order.get(b.seed) ?? 0));
}

function ask(worker: Worker, seed: number): Promise<Answer> {
  return new Promise((resolve, reject) => {
    const failed = (error: Error) => reject(new Error(`seed ${seed}: ${error.message}`));
    worker.once('error', failed);
    worker.once('message', (answer: Answer) => {
      worker.off('error', failed);
      resolve(answer);
    });
    worker.postMessage(seed);
  });
}
