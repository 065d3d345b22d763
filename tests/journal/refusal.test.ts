import { spawnSync } from 'node:child_process';
import { mkdirSync, rmSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import Database from 'better-sqlite3';
import { afterEach, beforeEach, describe, expect, test } from 'vitest';
import { readJournal } from '../../src/journal/read-file.ts';
import { type Direct, direct } from './direct.ts';
import { mayMount, testWith } from './parts.ts';
import { Scenario } from './scenario.ts';
import { temporaryFolder, watch } from './watched.ts';

let folder: ReturnType<typeof temporaryFolder>;
let path: string;
/** A file system that must not outlive its test, even one that runs out of time. */
let mounted: string | null = null;
beforeEach(() => {
  folder = temporaryFolder();
  path = join(folder.path, 'bay.journal');
});
afterEach(() => {
  if (mounted !== null) spawnSync('umount', ['-l', mounted]);
  mounted = null;
  folder.remove();
});

function handleOf(d: Direct): Database.Database {
  return Reflect.get(d.store, 'db') as Database.Database;
}

/** Makes the file as full as it may get; gives the way back. */
function fill(d: Direct): () => void {
  const db = handleOf(d);
  const most = db.pragma('max_page_count', { simple: true });
  db.pragma(`max_page_count = ${db.pragma('page_count', { simple: true })}`);
  return () => db.pragma(`max_page_count = ${most}`);
}

/** An error as SQLite gives it. */
function sqliteError(code: string): Error {
  return new Database.SqliteError(`made for the test: ${code}`, code);
}

describe('a full disk', () => {
  test('refuses the part, keeps it queued, announces nothing, and takes it when there is room again', () => {
    const d = direct(path);
    d.append(d.scenario.startRun());
    d.writer.flush();
    const before = d.durable.length;
    const makeRoom = fill(d);
    for (let i = 0; i < 3; i += 1) {
      d.append(d.scenario.frames(2000));
      d.append(d.scenario.reading());
      d.writer.flush();
    }
    expect(d.refused).toEqual(['SQLITE_FULL', 'SQLITE_FULL', 'SQLITE_FULL']);
    expect(d.durable.length).toBe(before);
    expect(d.outbox.backlog().entries).toBe(6009);
    makeRoom();
    d.writer.flush();
    expect(d.durable.at(-1)).toEqual({ seq: d.scenario.seq, event: d.scenario.event });
    expect(d.outbox.backlog()).toEqual({ entries: 0, bytes: 0 });
    d.close();
    const file = readJournal(path);
    expect(file.verifySeal()).toMatchObject({ ok: true, entries: 6012 });
    file.close();
  });

  test('is tried again once after the log has been cut back, within the same flush', () => {
    const d = direct(path);
    d.append(d.scenario.startRun());
    d.writer.flush();
    const calls: string[] = [];
    const { commit, truncateLog } = d.store;
    d.store.commit = (part) => {
      calls.push('commit');
      if (calls.length === 1) throw sqliteError('SQLITE_FULL');
      commit.call(d.store, part);
    };
    d.store.truncateLog = () => {
      calls.push('truncate');
      return truncateLog.call(d.store);
    };
    d.append(d.scenario.reading());
    d.writer.flush();
    expect(calls).toEqual(['commit', 'truncate', 'commit']);
    expect(d.refused).toEqual([]);
    expect(d.durable.at(-1)?.event).toBe(d.scenario.event);
    d.close();
  });

  test('is not tried again for every append, only for a flush', () => {
    const d = direct(path);
    d.append(d.scenario.startRun());
    const makeRoom = fill(d);
    while (!d.writer.full) d.append(d.scenario.frames(500));
    d.writer.flush();
    while (d.outbox.backlog().bytes < 1024 * 1024) d.append(d.scenario.frames(500));
    expect(d.writer.full).toBe(false);
    expect(d.refused).toEqual(['SQLITE_FULL']);
    makeRoom();
    d.writer.flush();
    expect(d.outbox.backlog().bytes).toBe(0);
    // In parts of a size that can be read at once.
    expect(d.durable.length).toBeGreaterThanOrEqual(4);
    d.close();
  });

  test('or not, two runs are never in one part', () => {
    const d = direct(path);
    d.append(d.scenario.startRun());
    d.append(d.scenario.frames(10));
    d.append(d.scenario.startRun());
    d.append(d.scenario.frames(10));
    d.writer.flush();
    expect(d.durable.map(({ event }) => event)).toEqual([1, 2]);
    d.close();
    const file = readJournal(path);
    expect(file.verifySeal()).toMatchObject({ ok: true, parts: 2, entries: 26 });
    file.close();
  });

  test('on a run change keeps the order: the old run goes first', () => {
    const d = direct(path);
    d.append(d.scenario.startRun());
    const makeRoom = fill(d);
    d.append(d.scenario.frames(3000));
    d.writer.flush();
    d.append(d.scenario.startRun());
    d.append(d.scenario.frames(10));
    d.writer.flush();
    expect(d.durable).toEqual([]);
    makeRoom();
    d.close();
    const file = readJournal(path);
    expect(file.runs().map(({ run }) => run)).toEqual([1, 2]);
    expect(file.verifySeal()).toMatchObject({ ok: true, parts: 2 });
    file.close();
  });
});

describe('an I/O error', () => {
  test('makes the writer take a new handle and look at what is stored before it goes on', () => {
    const d = direct(path);
    d.append(d.scenario.startRun());
    d.writer.flush();
    const first = handleOf(d);
    const { commit } = d.store;
    let failures = 1;
    d.store.commit = (part) => {
      if (failures-- > 0) throw sqliteError('SQLITE_IOERR_FSYNC');
      commit.call(d.store, part);
    };
    d.append(d.scenario.reading());
    d.writer.flush();
    expect(handleOf(d)).not.toBe(first);
    expect(first.open).toBe(false);
    expect(d.refused).toEqual([]);
    expect(d.durable.at(-1)?.event).toBe(d.scenario.event);
    d.append(d.scenario.reading());
    d.close();
    const file = readJournal(path);
    expect(file.verifySeal()).toMatchObject({ ok: true, parts: 3 });
    file.close();
  });

  test('of a commit that got through all the same stores the part once', () => {
    const d = direct(path);
    d.append(d.scenario.startRun());
    d.writer.flush();
    const { commit } = d.store;
    d.store.commit = (part) => {
      const { state } = d.store;
      commit.call(d.store, part);
      d.store.state = state;
      d.store.commit = commit;
      throw sqliteError('SQLITE_IOERR_FSYNC');
    };
    d.append(d.scenario.reading());
    d.writer.flush();
    expect(d.refused).toEqual([]);
    expect(d.durable.at(-1)).toEqual({ seq: d.scenario.seq, event: d.scenario.event });
    d.append(d.scenario.reading());
    d.close();
    const file = readJournal(path);
    expect(file.verifySeal()).toMatchObject({ ok: true, parts: 3, entries: 9 });
    file.close();
  });

  test('that stays is told for every flush; the same part is stored when it ends', () => {
    const d = direct(path);
    d.append(d.scenario.startRun());
    d.writer.flush();
    const { commit } = d.store;
    d.store.commit = () => {
      throw sqliteError('SQLITE_IOERR_WRITE');
    };
    d.append(d.scenario.reading());
    for (let i = 0; i < 4; i += 1) d.writer.flush();
    expect(d.refused).toEqual(Array.from({ length: 4 }, () => 'SQLITE_IOERR_WRITE'));
    expect(d.durable.length).toBe(1);
    d.store.commit = commit;
    d.writer.flush();
    expect(d.durable.at(-1)?.event).toBe(d.scenario.event);
    d.close();
  });

  test('after which the newest part is not what was stored is never gone over', () => {
    const d = direct(path);
    d.append(d.scenario.startRun());
    d.writer.flush();
    const { commit } = d.store;
    d.store.commit = () => {
      handleOf(d).exec("UPDATE blocks SET content = CAST(x'00' || substr(content, 2) AS BLOB)");
      throw sqliteError('SQLITE_IOERR_FSYNC');
    };
    d.append(d.scenario.reading());
    d.writer.flush();
    d.store.commit = commit;
    d.writer.flush();
    expect(d.refused).toEqual(['journal-damaged', 'journal-damaged']);
    expect(d.durable.length).toBe(1);
    d.close();
  });
});

test('another program that holds the file for writing delays the record, and nothing is lost', async () => {
  const { journal, untilSeq, untilRefused, durable } = await watch(path);
  const scenario = new Scenario(1, journal.opened);
  const start = scenario.startRun();
  journal.append(1, start.entries, [], true);
  await untilSeq(scenario.seq);
  const other = new Database(path);
  other.exec('BEGIN IMMEDIATE');
  const refused = untilRefused();
  const { entries } = scenario.reading();
  journal.append(1, entries, [], true);
  expect((await refused).code).toBe('SQLITE_BUSY');
  expect(durable.length).toBe(1);
  other.exec('ROLLBACK');
  other.close();
  journal.flush();
  await untilSeq(scenario.seq);
  await journal.close();
});

const probe = temporaryFolder();
const mountable = mayMount(probe.path);
probe.remove();

testWith('mount of a tmpfs', mountable)(
  'on a disk of 6 MB that fills up: no event without its row, the alarm is given, the record goes on when there is room',
  async () => {
    const disk = join(folder.path, 'disk');
    mkdirSync(disk);
    expect(spawnSync('mount', ['-t', 'tmpfs', '-o', 'size=6m', 'tmpfs', disk]).status).toBe(0);
    mounted = disk;
    const file = join(disk, 'bay.journal');
    const { journal, durable, refused, untilSeq, untilRefused } = await watch(file);
    const scenario = new Scenario(1, journal.opened);
    const start = scenario.startRun();
    journal.append(1, start.entries, [], true);
    await untilSeq(scenario.seq);
    writeFileSync(join(disk, 'ballast'), Buffer.alloc(4 * 1024 * 1024));
    let full = false;
    void untilRefused().then(() => {
      full = true;
    });
    while (!full) {
      journal.append(1, scenario.frames(300).entries, [], false);
      const { entries } = scenario.reading();
      journal.append(1, entries, [], true);
      await Promise.race([untilSeq(scenario.seq), untilRefused()]);
    }
    expect(refused[0]?.code).toBe('SQLITE_FULL');
    const announced = durable.at(-1)?.event ?? 0;
    expect(announced).toBeLessThan(scenario.event);
    // The reader sees what was announced, all of it.
    expect((await journal.reader.events(0, 1e6)).length).toBe(announced);
    journal.flush();
    await untilRefused();
    expect(durable.at(-1)?.event).toBe(announced);
    rmSync(join(disk, 'ballast'));
    journal.flush();
    await untilSeq(scenario.seq);
    expect((await journal.reader.events(0, 1e6)).length).toBe(scenario.event);
    await journal.close();
    const read = readJournal(file);
    expect(read.verifySeal()).toMatchObject({ ok: true });
    expect(read.totals().outcomes).toBe(scenario.event);
    read.close();
  },
  60_000,
);
