/** Thread of the reader: a connection of its own that cannot write. */
import { type MessagePort, parentPort, workerData } from 'node:worker_threads';
import { connectReader } from './connect.ts';
import type { FromReader, ToReader } from './messages.ts';
import { type Queries, queriesOf } from './queries.ts';

const port = parentPort as MessagePort;
const db = connectReader((workerData as { path: string }).path);
const queries = queriesOf(db);

port.on('message', (question: ToReader | 'close') => {
  if (question === 'close') {
    db.close();
    port.close();
  } else {
    port.postMessage(answer(question));
  }
});

function answer({ id, ask, args }: ToReader): FromReader {
  try {
    const query = queries[ask as keyof Queries] as (...args: readonly unknown[]) => unknown;
    return { id, answer: query(...args) };
  } catch (error) {
    return { id, error: (error as Error).message };
  }
}
