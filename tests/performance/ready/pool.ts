/** Many benches on as many threads as there are processors. */
import { cpus } from 'node:os';
import { Worker } from 'node:worker_threads';
import type { BenchScore, ReadingScore } from './one-bench.ts';

export interface Question {
  readonly seed: number;
  readonly readingOnly: boolean;
}

type Answer<S> = { readonly score: S } | { readonly seed: number; readonly error: string };

/** In the order of the seeds, whichever thread was first. Runs from dist. */
export function scoreAll(seeds: readonly number[], onProgress: (done: number) => void): Promise<BenchScore[]> {
  return askAll(seeds, false, onProgress);
}

/** The first readings alone; null where a bench took none. */
export function readAll(
  seeds: readonly number[],
  onProgress: (done: number) => void,
): Promise<(ReadingScore | null)[]> {
  return askAll(seeds, true, onProgress);
}

async function askAll<S>(
  seeds: readonly number[],
  readingOnly: boolean,
  onProgress: (done: number) => void,
): Promise<S[]> {
  const scores = new Map<number, S>();
  const waiting = [...seeds];
  const threads = Math.max(1, Math.min(cpus().length, 8, seeds.length));
  await Promise.all(
    Array.from({ length: threads }, async () => {
      const worker = new Worker(new URL('./score-worker.js', import.meta.url));
      try {
        for (let seed = waiting.shift(); seed !== undefined; seed = waiting.shift()) {
          const answer = await ask<S>(worker, { seed, readingOnly });
          if ('error' in answer) throw new Error(`seed ${answer.seed}: ${answer.error}`);
          scores.set(seed, answer.score);
          onProgress(scores.size);
        }
      } finally {
        await worker.terminate();
      }
    }),
  );
  return seeds.map((seed) => scores.get(seed) as S);
}

function ask<S>(worker: Worker, question: Question): Promise<Answer<S>> {
  return new Promise((resolve, reject) => {
    const failed = (error: Error) => reject(new Error(`seed ${question.seed}: ${error.message}`));
    worker.once('error', failed);
    worker.once('message', (answer: Answer<S>) => {
      worker.off('error', failed);
      resolve(answer);
    });
    worker.postMessage(question);
  });
}
