import { existsSync, readdirSync } from 'node:fs';
import { join } from 'node:path';
import { afterEach, beforeEach, describe, expect, test } from 'vitest';
import { carry, NOTHING_CARRIED } from '../../src/core/carried.ts';
import type { Entry } from '../../src/journal/contract.ts';
import { readJournal } from '../../src/journal/read-file.ts';
import { asKept, FIRST_UTC_MS, Scenario } from './scenario.ts';
import { temporaryFolder, type Watched, watch } from './watched.ts';

let folder: ReturnType<typeof temporaryFolder>;
let path: string;
let open: Watched[] = [];

beforeEach(() => {
  folder = temporaryFolder();
  path = join(folder.path, 'bay.journal');
});
afterEach(async () => {
  await Promise.all(open.map(({ journal }) => journal.close()));
  open = [];
  folder.remove();
});

async function opened(): Promise<Watched> {
  const watched = await watch(path);
  open.push(watched);
  return watched;
}

describe('a journal', () => {
  test('gives back every entry of two runs in order, and its seal is intact', async () => {
    const written: Entry[] = [];
    for (let run = 0; run < 2; run += 1) {
      const { journal, untilSeq } = await opened();
      const scenario = new Scenario(run, journal.opened);
      for (const turn of [scenario.startRun(journal.opened), scenario.frames(500), scenario.reading()]) {
        journal.append(turn.run, turn.entries, turn.points, false);
        written.push(...turn.entries);
      }
      journal.flush();
      await untilSeq(scenario.seq);
      await journal.close();
    }
    const file = readJournal(path);
    expect([...file.entries()]).toStrictEqual(asKept(written));
    expect(file.totals()).toMatchObject({ entries: written.length, runs: 2, outcomes: 6 });
    expect(file.countInputs()).toBe(written.length - 6);
    expect(file.verifySeal()).toEqual({ ok: true, parts: 2, entries: written.length, firstFault: null });
    file.close();
  });

  test('starts empty, with an id that it keeps', async () => {
    const first = await opened();
    expect(first.journal.opened).toMatchObject({ lastRun: 0, lastSeq: 0, carried: NOTHING_CARRIED, movedAside: null });
    await first.journal.close();
    const second = await opened();
    expect(second.journal.opened.journalId).toBe(first.journal.opened.journalId);
    expect(second.journal.opened.journalId).toMatch(/^[0-9a-f-]{36}$/);
  });

  test('carries over a restart what the outcomes say, also across several runs', async () => {
    let expected = NOTHING_CARRIED;
    for (let run = 0; run < 3; run += 1) {
      const { journal } = await opened();
      expect(journal.opened.carried).toEqual(expected);
      const scenario = new Scenario(run, journal.opened);
      for (const turn of [
        scenario.startRun(journal.opened),
        scenario.reading(),
        scenario.frames(3),
        scenario.reading(),
      ]) {
        journal.append(turn.run, turn.entries, turn.points, true);
        for (const entry of turn.entries) if (entry.kind === 'outcome') expected = carry(expected, entry.outcome);
      }
      await journal.close();
    }
    const { journal } = await opened();
    expect(journal.opened.carried).toEqual(expected);
    expect(journal.opened).toMatchObject({ lastRun: 3 });
    expect(expected.lastReadingId).toBe(6);
  });

  test('counts what is admitted and not durable, exactly, back to nothing', async () => {
    const { journal, untilSeq } = await opened();
    const scenario = new Scenario(1, journal.opened);
    const start = scenario.startRun();
    journal.append(start.run, start.entries, [], false);
    const { entries } = scenario.frames(100);
    journal.append(scenario.run, entries, [], false);
    expect(journal.backlog().entries).toBe(103);
    expect(journal.backlog().bytes).toBeGreaterThan(100 * 30);
    journal.flush();
    await untilSeq(scenario.seq);
    expect(journal.backlog()).toEqual({ entries: 0, bytes: 0 });
  });

  test('commits by itself when more than 256 kB is waiting', async () => {
    const { journal, untilSeq } = await opened();
    const scenario = new Scenario(1, journal.opened);
    const start = scenario.startRun();
    journal.append(start.run, start.entries, [], false);
    while (journal.backlog().bytes <= 256 * 1024) journal.append(scenario.run, scenario.frames(100).entries, [], false);
    await untilSeq(scenario.seq);
    expect(journal.backlog().entries).toBe(0);
  });

  test('announces in growing numbers, and nothing that was not asked to be flushed', async () => {
    const { journal, untilSeq, durable } = await opened();
    const scenario = new Scenario(1, journal.opened);
    const start = scenario.startRun();
    journal.append(start.run, start.entries, [], true);
    await untilSeq(scenario.seq);
    for (let i = 0; i < 5; i += 1) {
      journal.append(scenario.run, scenario.frames(2).entries, [], false);
      const { entries } = scenario.reading();
      journal.append(scenario.run, entries, [], true);
      await untilSeq(scenario.seq);
    }
    expect(durable.map(({ event }) => event)).toEqual([1, 3, 5, 7, 9, 11]);
    expect(durable.at(-1)).toEqual({ seq: scenario.seq, event: scenario.event });
    expect(durable.every(({ seq }, i) => i === 0 || seq > (durable[i - 1]?.seq ?? 0))).toBe(true);
  });

  test('leaves one file behind, and closes twice without complaint', async () => {
    const { journal } = await opened();
    const scenario = new Scenario(1, journal.opened);
    const start = scenario.startRun();
    journal.append(start.run, start.entries, [], true);
    await Promise.all([journal.close(), journal.close()]);
    expect(readdirSync(folder.path).sort()).toEqual(['bay.journal']);
    expect(() => journal.append(1, [], [], false)).toThrow(/closed/);
  });

  test('stores on close what was never flushed', async () => {
    const { journal, durable } = await opened();
    const scenario = new Scenario(1, journal.opened);
    const start = scenario.startRun();
    journal.append(start.run, start.entries, [], false);
    await journal.close();
    expect(durable).toEqual([{ seq: scenario.seq, event: 1 }]);
  });
});

describe('what is appended', () => {
  test('is refused as a whole when one value cannot be kept, and the journal goes on', async () => {
    const { journal, untilSeq } = await opened();
    const scenario = new Scenario(1, journal.opened);
    const start = scenario.startRun();
    journal.append(start.run, start.entries, [], true);
    const good = scenario.frames(1).entries;
    const bad = scenario.outcome({ kind: 'fault', source: 'x', code: 'y', detail: Number.NaN as unknown as string });
    expect(() => journal.append(1, [...good, bad], [], true)).toThrow(/outcome\.detail.*NaN/);
    expect(() => journal.append(1, good, [{ channel: 'a', run: 1, tUs: 1, value: Number.NaN }], true)).toThrow(
      /channel a/,
    );
    journal.append(1, [...good, scenario.outcome({ kind: 'fault', source: 'x', code: 'y', detail: 'z' })], [], true);
    await untilSeq(scenario.seq);
    await journal.close();
    const file = readJournal(path);
    expect(file.totals().entries).toBe(start.entries.length + 2);
    file.close();
  });

  test('must come in order: inputs, outcomes, runs', async () => {
    const { journal } = await opened();
    const scenario = new Scenario(1, journal.opened);
    expect(() => journal.append(1, scenario.frames(1).entries, [], false)).toThrow(/run 1 has not been started/);
    const start = scenario.startRun();
    const [first] = start.entries as [Entry];
    journal.append(start.run, start.entries, [], false);
    expect(() => journal.append(1, [first], [], false)).toThrow(/input 2 comes after/);
    expect(() => journal.append(2, scenario.frames(1).entries, [], false)).toThrow(/run 2 has not been started/);
    scenario.event -= 1;
    const again = scenario.outcome({ kind: 'fault', source: 'a', code: 'b', detail: 'c' });
    expect(() => journal.append(1, [again], [], false)).toThrow(/event 1 comes after event 1/);
    scenario.tUs = 0.5;
    expect(() => journal.append(1, scenario.frames(1, 0).entries, [], false)).toThrow(/whole numbers/);
  });
});

describe('the reader', () => {
  test('answers with durable outcomes and their calendar time', async () => {
    const { journal, untilSeq } = await opened();
    const scenario = new Scenario(1, journal.opened);
    const start = scenario.startRun();
    journal.append(start.run, start.entries, [], false);
    scenario.tUs = 5_000_000;
    const { entries } = scenario.reading('first-action');
    journal.append(1, entries, [], false);
    expect(await journal.reader.events(0, 10)).toEqual([]);
    journal.flush();
    await untilSeq(scenario.seq);
    const events = await journal.reader.events(0, 10);
    const utc = FIRST_UTC_MS + 86_400_000;
    const outcomes = [...start.entries, ...entries].filter((entry) => entry.kind === 'outcome');
    expect(events).toEqual(outcomes.map(({ outcome }, i) => ({ utcMs: i === 0 ? utc : utc + 5001, outcome })));
    expect(await journal.reader.events(1, 1)).toEqual([events[1]]);
    expect(await journal.reader.events(3, 10)).toEqual([]);
    expect(await journal.reader.action('first-action')).toEqual(events[1]);
    expect(await journal.reader.action('another')).toBeNull();
    expect(await journal.reader.newest('reading')).toEqual(events[2]);
    expect(await journal.reader.newest('alarm')).toBeNull();
  });

  test('thins a chart to min and max, in whole buckets, for one channel', async () => {
    const { journal, untilSeq } = await opened();
    const scenario = new Scenario(1, journal.opened);
    const start = scenario.startRun();
    const { entries } = scenario.frames(1);
    const points = Array.from({ length: 100 }, (_, s) => [
      { channel: 'level', run: 1, tUs: s * 1_000_000 + 100, value: s },
      { channel: 'level', run: 1, tUs: s * 1_000_000 + 900_000, value: -s },
      { channel: 'oil', run: 1, tUs: s * 1_000_000, value: 1000 },
    ]).flat();
    journal.append(1, [...start.entries, ...entries], points, true);
    await untilSeq(scenario.seq);
    const from = FIRST_UTC_MS + 86_400_000;
    const buckets = await journal.reader.envelope('level', from, from + 100_000, 10);
    expect(buckets).toEqual(
      Array.from({ length: 10 }, (_, i) => ({ utcMs: from + i * 10_000, min: -(i * 10 + 9), max: i * 10 + 9 })),
    );
    expect(await journal.reader.envelope('level', from + 3000, from + 5000, 100)).toEqual([
      { utcMs: from + 3000, min: -3, max: 3 },
      { utcMs: from + 4000, min: -4, max: 4 },
    ]);
    expect(await journal.reader.envelope('level', from, from + 1e9, 7)).toHaveLength(1);
    expect(await journal.reader.envelope('nothing', from, from + 1e9, 7)).toEqual([]);
    expect(await journal.reader.envelope('level', from, from, 7)).toEqual([]);
  });

  test('answers while the writer is busy, and refuses after the end', async () => {
    const { journal, untilSeq } = await opened();
    const scenario = new Scenario(1, journal.opened);
    const start = scenario.startRun();
    journal.append(start.run, start.entries, [], true);
    let seen = 0;
    for (let i = 0; i < 50; i += 1) {
      journal.append(1, scenario.frames(50).entries, [], false);
      const { entries } = scenario.reading();
      journal.append(1, entries, [], true);
      const events = await journal.reader.events(seen, 1000);
      // Only whole commits, in order, without a hole.
      for (const { outcome } of events) expect(outcome.event).toBe(++seen);
    }
    await untilSeq(scenario.seq);
    expect(await journal.reader.events(seen, 1000)).toHaveLength(scenario.event - seen);
    await journal.close();
    await expect(journal.reader.events(0, 1)).rejects.toThrow(/closed/);
  });
});

describe('checkpoints', () => {
  test('come back with their state, and entries can be read from there on', async () => {
    const { journal } = await opened();
    const scenario = new Scenario(1, journal.opened);
    const start = scenario.startRun();
    journal.append(1, start.entries, [], false);
    journal.checkpoint(1, scenario.seq, 'run-start', { level: [1.5, null], open: { fresh: true } });
    const at = scenario.seq;
    const later = [...scenario.frames(20).entries, ...scenario.reading().entries];
    journal.append(1, later, [], true);
    journal.checkpoint(1, scenario.seq, 'job-start', { n: 2 });
    expect(() => journal.checkpoint(1, scenario.seq, 'job-start', { n: undefined })).toThrow(/checkpoint\.n/);
    await journal.close();
    const file = readJournal(path);
    const rows = file.checkpoints();
    expect(rows).toEqual([
      { id: 1, run: 1, seq: at, why: 'run-start' },
      { id: 2, run: 1, seq: scenario.seq, why: 'job-start' },
    ]);
    expect(file.checkpointState(1)).toEqual({ level: [1.5, null], open: { fresh: true } });
    expect(file.checkpointState(2)).toEqual({ n: 2 });
    expect(file.checkpointState(3)).toBeNull();
    expect([...file.entries(at)]).toStrictEqual(asKept(later));
    expect([...file.entries(scenario.seq)]).toEqual([]);
    file.close();
  });
});

test('threads come and go without harm, 25 times', async () => {
  for (let i = 0; i < 25; i += 1) {
    const { journal } = await opened();
    const scenario = new Scenario(i, journal.opened);
    const { run, entries } = scenario.startRun(journal.opened);
    journal.append(run, entries, [], true);
    await journal.close();
  }
  const { journal } = await opened();
  expect(journal.opened.lastRun).toBe(25);
  expect(existsSync(`${path}.damaged-1`)).toBe(false);
});
