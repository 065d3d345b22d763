import { renameSync } from 'node:fs';
import { join } from 'node:path';
import { afterEach, beforeEach, expect, test } from 'vitest';
import { Scenario } from './scenario.ts';
import { temporaryFolder, watch } from './watched.ts';

let folder: ReturnType<typeof temporaryFolder>;
beforeEach(() => {
  folder = temporaryFolder();
});
afterEach(() => folder.remove());

test('a journal that was moved away announces nothing more; put back, it goes on', async () => {
  const file = join(folder.path, 'bay.journal');
  const { journal, durable, untilSeq, untilRefused } = await watch(file);
  const scenario = new Scenario(1, journal.opened);
  const start = scenario.startRun();
  journal.append(start.run, start.entries, start.points, true);
  await untilSeq(scenario.seq);
  const before = durable.at(-1)?.seq;
  renameSync(file, `${file}.away`);
  const reading = scenario.reading();
  journal.append(reading.run, reading.entries, reading.points, true);
  const refusal = await untilRefused();
  expect(refusal.detail).toContain('journal-gone');
  expect(durable.at(-1)?.seq).toBe(before);
  renameSync(`${file}.away`, file);
  journal.flush();
  await untilSeq(scenario.seq);
  expect(durable.at(-1)?.seq).toBe(scenario.seq);
  await journal.close();
});
