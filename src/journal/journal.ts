/** The journal of a running bench, on the main thread: admits entries, hands them to the writer, hears what is durable. */
import { Worker } from 'node:worker_threads';
import { StillwellError } from '../errors.ts';
import { stateBytes } from './codec.ts';
import type { Journal, JournalEvents, Opened } from './contract.ts';
import type { FromWriter, ToWriter } from './messages.ts';
import { Outbox } from './outbox.ts';
import { type Reader, startReader } from './reader.ts';
import { workerUrl } from './worker-url.ts';

/**
 * Opens the journal of a bench for writing; makes the file where there is none.
 * `onRefused` gets SQLite's result code (SQLITE_FULL, SQLITE_IOERR_WRITE …), or an error code of ours where it is not
 * the disk (journal-damaged, journal-refused). It is called again for every flush that fails.
 * @throws StillwellError journal-locked, -newer, -damaged (no journal: left as it is), -unreachable, -unsafe-sqlite
 */
export async function openJournal(path: string, events: JournalEvents): Promise<Journal> {
  const writer = startWriter(path);
  try {
    const opened = await writer.opened;
    return serve(writer, opened, await startReader(path), events);
  } catch (error) {
    await writer.close();
    throw error;
  }
}

interface WriterThread {
  readonly worker: Worker;
  readonly opened: Promise<Opened>;
  readonly ended: Promise<void>;
  /** Why it ended of itself, or null. */
  failure(): string | null;
  close(): Promise<void>;
}

function startWriter(path: string): WriterThread {
  const worker = new Worker(workerUrl('writer-worker'), { workerData: { path }, name: 'journal-writer' });
  let failure: Error | null = null;
  worker.on('error', (error) => {
    failure = error;
  });
  const ended = new Promise<void>((resolve) => {
    worker.once('exit', () => {
      failure ??= new Error('the thread that writes the journal has ended');
      resolve();
    });
  });
  const opened = new Promise<Opened>((resolve, reject) => {
    worker.once('message', (message: FromWriter) => {
      if (message.say === 'opened') resolve(message.opened);
      if (message.say === 'failed') reject(new StillwellError(message.code, message.where, message.detail));
    });
    worker.once('exit', () => reject(failure));
  });
  return {
    worker,
    opened,
    ended,
    failure: () => failure?.message ?? null,
    async close() {
      worker.postMessage({ do: 'close' } satisfies ToWriter);
      await ended;
    },
  };
}

function serve(writer: WriterThread, opened: Opened, reader: Reader, events: JournalEvents): Journal {
  const outbox = new Outbox(opened);
  let closing: Promise<void> | null = null;

  writer.worker.on('message', (message: FromWriter) => {
    if (message.say === 'durable') {
      outbox.durable(message.entries, message.bytes);
      events.onDurable(message.upTo);
    } else if (message.say === 'refused') {
      events.onRefused(message.code, message.detail);
    }
  });
  void writer.ended.then(() => {
    if (closing === null) tellEnded();
  });

  /** Nothing will be stored any more: told at once, and again for every flush. */
  function tellEnded(): void {
    events.onRefused('journal-refused', writer.failure() ?? '');
  }

  function post(message: ToWriter, moved: ArrayBuffer[] = []): void {
    if (closing !== null) return;
    if (writer.failure() === null) writer.worker.postMessage(message, moved);
    else if (message.do === 'flush' || (message.do === 'append' && message.flush)) tellEnded();
  }

  async function end(): Promise<void> {
    // The writer goes last: the last connection to go leaves one whole file, without a log beside it.
    await reader.close();
    await writer.close();
  }

  return {
    opened,
    reader: reader.queries,
    append(run, entries, points, flush) {
      if (closing !== null) throw new Error('the journal is closed');
      const batch = outbox.pack(run, entries, points);
      post({ do: 'append', batch, flush }, [batch.content.buffer as ArrayBuffer]);
    },
    flush: () => post({ do: 'flush' }),
    checkpoint(run, seq, why, state) {
      const bytes = new Uint8Array(stateBytes(state));
      post({ do: 'checkpoint', checkpoint: { run, seq, why, state: bytes } });
    },
    backlog: () => outbox.backlog(),
    close() {
      closing ??= end();
      return closing;
    },
  };
}
