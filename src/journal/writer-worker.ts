/** Thread of the writer. All messages that have come in by the time it looks are taken together, so that one commit serves them. */
import { type MessagePort, parentPort, receiveMessageOnPort, workerData } from 'node:worker_threads';
import { StillwellError } from '../errors.ts';
import type { FromWriter, ToWriter } from './messages.ts';
import { Store } from './store.ts';
import { Writer } from './writer.ts';

/** Looked at between two commits at most. */
const MOST_MESSAGES = 1000;

const port = parentPort as MessagePort;
const tell = (message: FromWriter) => port.postMessage(message);

function start(path: string): void {
  try {
    const writer = new Writer(new Store(path), tell);
    port.on('message', (first: ToWriter) => serve(writer, first));
    tell({ say: 'opened', opened: writer.opened() });
  } catch (error) {
    if (!(error instanceof StillwellError)) throw error;
    const { code, where, detail } = error;
    tell({ say: 'failed', code, where, detail });
  }
}

function serve(writer: Writer, first: ToWriter): void {
  let message: ToWriter | undefined = first;
  let flush = false;
  for (let n = 0; message !== undefined; n += 1) {
    if (message.do === 'close') {
      writer.close();
      port.close();
      return;
    }
    if (message.do === 'append') writer.append(message.batch);
    if (message.do === 'checkpoint') writer.checkpoint(message.checkpoint);
    flush ||= message.do === 'flush' || (message.do === 'append' && message.flush);
    const more = n < MOST_MESSAGES && !writer.full;
    message = more ? (receiveMessageOnPort(port)?.message as ToWriter | undefined) : undefined;
  }
  if (flush || writer.full) writer.flush();
}

start((workerData as { path: string }).path);
