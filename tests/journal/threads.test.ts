import { statSync } from 'node:fs';
import { join } from 'node:path';
import type { Worker } from 'node:worker_threads';
import { afterEach, beforeEach, expect, test } from 'vitest';
import { readJournal } from '../../src/journal/read-file.ts';
import { workerUrl } from '../../src/journal/worker-url.ts';
import { direct } from './direct.ts';
import { Scenario } from './scenario.ts';
import { temporaryFolder, watch } from './watched.ts';

let folder: ReturnType<typeof temporaryFolder>;
let path: string;
beforeEach(() => {
  folder = temporaryFolder();
  path = join(folder.path, 'bay.journal');
});
afterEach(() => folder.remove());

test('the worker is the built one, from the sources and from the build', () => {
  expect(workerUrl('writer-worker', 'file:///a/src/journal/worker-url.ts').href).toBe(
    'file:///a/dist/src/journal/writer-worker.js',
  );
  expect(workerUrl('reader-worker', 'file:///a/dist/src/journal/worker-url.js').href).toBe(
    'file:///a/dist/src/journal/reader-worker.js',
  );
});

test('when the thread of the writer ends by itself it is told at once and for every flush, and closing works', async () => {
  const workers: Worker[] = [];
  const note = (worker: Worker) => workers.push(worker);
  process.on('worker', note);
  const { journal, refused, untilRefused, durable } = await watch(path);
  process.off('worker', note);
  const scenario = new Scenario(1, journal.opened);
  const start = scenario.startRun();
  const told = untilRefused();
  await workers[0]?.terminate();
  expect((await told).code).toBe('journal-refused');
  journal.append(1, start.entries, [], false);
  expect(refused.length).toBe(1);
  journal.flush();
  expect(refused.length).toBe(2);
  expect(journal.backlog().entries).toBe(3);
  expect(durable).toEqual([]);
  await journal.close();
});

test('questions that are open when the thread of the reader ends are refused, not left hanging', async () => {
  const workers: Worker[] = [];
  const note = (worker: Worker) => workers.push(worker);
  process.on('worker', note);
  const { journal } = await watch(path);
  process.off('worker', note);
  await workers[1]?.terminate();
  await expect(journal.reader.events(0, 1)).rejects.toThrow();
  await journal.close();
});

test('one who reads slowly does not hold the log back: it stays below 16 MB over 1000 commits', () => {
  const d = direct(path);
  d.append(d.scenario.startRun());
  for (let i = 0; i < 50; i += 1) {
    d.append(d.scenario.frames(20));
    d.writer.flush();
  }
  const file = readJournal(path);
  const entries = file.entries();
  let most = 0;
  for (let i = 0; i < 1000; i += 1) {
    d.append(d.scenario.frames(20));
    d.append(d.scenario.reading());
    d.writer.flush();
    if (i % 100 === 0) entries.next();
    most = Math.max(most, statSync(`${path}-wal`).size);
  }
  expect(most).toBeGreaterThan(0);
  expect(most).toBeLessThan(16 * 1024 * 1024);
  file.close();
  d.close();
}, 60_000);
