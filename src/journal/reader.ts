/** The reader's thread as seen from the main one: a promise for each question. */
import { Worker } from 'node:worker_threads';
import type { JournalReader } from './contract.ts';
import type { FromReader, ToReader } from './messages.ts';
import { workerUrl } from './worker-url.ts';

export interface Reader {
  readonly queries: JournalReader;
  /** Open questions are answered first. */
  close(): Promise<void>;
}

interface Pending {
  resolve(answer: unknown): void;
  reject(error: Error): void;
}

/** Starts it on a journal that exists. */
export async function startReader(path: string): Promise<Reader> {
  const worker = new Worker(workerUrl('reader-worker'), { workerData: { path }, name: 'journal-reader' });
  const pending = new Map<number, Pending>();
  let lastId = 0;
  let over: Error | null = null;

  worker.on('message', (message: FromReader) => {
    const question = pending.get(message.id);
    pending.delete(message.id);
    if ('error' in message) question?.reject(new Error(`the journal cannot answer: ${message.error}`));
    else question?.resolve(message.answer);
  });
  worker.on('error', (error) => {
    over = error;
  });
  const ended = new Promise<void>((resolve) => {
    worker.once('exit', () => {
      over ??= new Error('the journal is closed');
      for (const question of pending.values()) question.reject(over);
      pending.clear();
      resolve();
    });
  });

  function ask<T>(name: keyof JournalReader, ...args: readonly unknown[]): Promise<T> {
    return new Promise<T>((resolve, reject) => {
      if (over !== null) return reject(over);
      lastId += 1;
      pending.set(lastId, { resolve: resolve as Pending['resolve'], reject });
      worker.postMessage({ id: lastId, ask: name, args } satisfies ToReader);
    });
  }

  const queries: JournalReader = {
    events: (since, limit) => ask('events', since, limit),
    action: (actionId) => ask('action', actionId),
    newest: (kind) => ask('newest', kind),
    envelope: (channel, fromUtcMs, toUtcMs, most) => ask('envelope', channel, fromUtcMs, toUtcMs, most),
  };
  // The first answer shows that the thread has its connection.
  await queries.events(0, 0);
  return {
    queries,
    async close() {
      worker.postMessage('close');
      await ended;
    },
  };
}
