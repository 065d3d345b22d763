/**
 * Seals the closed jobs of a running bench, in a thread of its own that ends when there is nothing left to seal. Started
 * when the bench starts, which also catches up on what a crash left undone, and whenever a job has closed.
 */
import { Worker } from 'node:worker_threads';
import { workerUrl } from '../worker-url.ts';

/** What the thread is given. */
export interface SealerData {
  readonly journal: string;
  readonly software: string;
  /** Not 0: no further job is begun. */
  readonly stop: Int32Array<SharedArrayBuffer>;
}

export type FromSealer =
  | { readonly say: 'made-key'; readonly file: string; readonly publicFile: string; readonly fingerprint: string }
  | { readonly say: 'sealed'; readonly file: string; readonly job: number }
  /** The code of an error of ours, or of the system. */
  | { readonly say: 'failed'; readonly code: string; readonly words: string };

export interface Sealer {
  /** Seals what is closed and not sealed yet; again afterwards, where it is called meanwhile. */
  look(): void;
  /** The job in hand is finished first. */
  close(): Promise<void>;
}

export function startSealer(journal: string, software: string, tell: (message: FromSealer) => void): Sealer {
  const stop = new Int32Array(new SharedArrayBuffer(4));
  let running: Promise<void> | null = null;
  let again = false;
  let closed = false;

  function begin(): Promise<void> {
    const workerData: SealerData = { journal, software, stop };
    const worker = new Worker(workerUrl('sealed/sealer-worker'), { workerData, name: 'job-sealer' });
    worker.on('message', tell);
    worker.on('error', (error) => tell({ say: 'failed', code: 'sealing-failed', words: error.message }));
    return new Promise((resolve) => {
      worker.once('exit', () => {
        running = again && !closed ? begin() : null;
        again = false;
        resolve(running ?? undefined);
      });
    });
  }

  return {
    look() {
      if (closed) return;
      if (running === null) running = begin();
      else again = true;
    },
    async close() {
      closed = true;
      Atomics.store(stop, 0, 1);
      await running;
    },
  };
}
