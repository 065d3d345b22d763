/** The writer without its thread: what it says is there when the call returns. */
import type { Durable } from '../../src/journal/contract.ts';
import type { FromWriter } from '../../src/journal/messages.ts';
import { Outbox } from '../../src/journal/outbox.ts';
import { Store } from '../../src/journal/store.ts';
import { Writer } from '../../src/journal/writer.ts';
import { Scenario, type Turn } from './scenario.ts';

export interface Direct {
  readonly store: Store;
  readonly writer: Writer;
  readonly outbox: Outbox;
  readonly scenario: Scenario;
  readonly durable: Durable[];
  readonly refused: string[];
  append(turn: Turn): void;
  close(): void;
}

export function direct(path: string, seed = 1): Direct {
  const durable: Durable[] = [];
  const refused: string[] = [];
  const store = new Store(path);
  const writer = new Writer(store, (message: FromWriter) => {
    if (message.say === 'durable') {
      durable.push(message.upTo);
      outbox.durable(message.entries, message.bytes);
    }
    if (message.say === 'refused') refused.push(message.code);
  });
  const outbox = new Outbox(writer.opened());
  return {
    store,
    writer,
    outbox,
    scenario: new Scenario(seed, writer.opened()),
    durable,
    refused,
    append: ({ run, entries, points }) => writer.append(outbox.pack(run, entries, points)),
    close: () => writer.close(),
  };
}

/** A journal of two runs, closed: frames in small parts, some readings, what fills a group packed. */
export function writeSample(path: string, seed: number, parts: number): void {
  for (let run = 0; run < 2; run += 1) {
    const d = direct(path, seed + run);
    d.append(d.scenario.startRun(d.writer.opened()));
    for (let i = 0; i < parts; i += 1) {
      d.append(d.scenario.frames(10, 50_000));
      if (i % 7 === 0) d.append(d.scenario.reading());
      d.writer.flush();
    }
    d.close();
  }
}
