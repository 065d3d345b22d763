import {
  closeSync,
  copyFileSync,
  existsSync,
  mkdirSync,
  openSync,
  readdirSync,
  readFileSync,
  statSync,
  symlinkSync,
  writeFileSync,
  writeSync,
} from 'node:fs';
import { join } from 'node:path';
import Database from 'better-sqlite3';
import { afterEach, beforeEach, describe, expect, test } from 'vitest';
import { assertSafe, connectReader } from '../../src/journal/connect.ts';
import { readJournal } from '../../src/journal/read-file.ts';
import { direct, writeSample } from './direct.ts';
import { seeded } from './scenario.ts';
import { temporaryFolder, watch } from './watched.ts';

let folder: ReturnType<typeof temporaryFolder>;
let path: string;
beforeEach(() => {
  folder = temporaryFolder();
  path = join(folder.path, 'bay.journal');
});
afterEach(() => folder.remove());

/** Overwrites bytes of a file in place. */
function scribble(file: string, at: number, bytes: Buffer): void {
  const descriptor = openSync(file, 'r+');
  writeSync(descriptor, bytes, 0, bytes.length, at);
  closeSync(descriptor);
}

describe('the owner of a journal', () => {
  test('keeps a second one out at once, in the same process or by another name, until it closes', async () => {
    const first = await watch(path);
    await expect(watch(path)).rejects.toMatchObject({ code: 'journal-locked' });
    symlinkSync(path, join(folder.path, 'other-name.journal'));
    await expect(watch(join(folder.path, 'other-name.journal'))).rejects.toMatchObject({ code: 'journal-locked' });
    await first.journal.close();
    const second = await watch(path);
    await second.journal.close();
  });

  test('lets readers in', async () => {
    const { journal } = await watch(path);
    expect(readdirSync(folder.path).sort()).toEqual(['', '-lock', '-shm', '-wal'].map((tail) => `bay.journal${tail}`));
    const file = readJournal(path);
    expect(file.journalId).toBe(journal.opened.journalId);
    file.close();
    await journal.close();
  });

  test('is not needed for reading, which leaves nothing behind', () => {
    writeSample(path, 3, 15);
    const before = readFileSync(path);
    const file = readJournal(path);
    expect(file.verifySeal().ok).toBe(true);
    file.close();
    expect(readdirSync(folder.path).sort()).toEqual(['bay.journal']);
    expect(readFileSync(path).equals(before)).toBe(true);
  });

  test('writes with a log, every commit synchronised, on an SQLite that is safe', () => {
    const d = direct(path);
    const db = Reflect.get(d.store, 'db') as Database.Database;
    expect(db.pragma('journal_mode', { simple: true })).toBe('wal');
    expect(db.pragma('synchronous', { simple: true })).toBe(2);
    expect(db.pragma('journal_size_limit', { simple: true })).toBe(4 * 1024 * 1024);
    d.close();
  });

  test.each(['3.40.1', '3.51.2', '3.7.17', '2.99.99'])('refuses SQLite %s', (version) => {
    expect(() => assertSafe('here', version)).toThrow(/\[journal-unsafe-sqlite\]/);
  });

  test.each(['3.51.3', '3.51.10', '3.53.2', '4.0.0'])('accepts SQLite %s', (version) => {
    expect(() => assertSafe('here', version)).not.toThrow();
  });
});

describe('a damaged journal', () => {
  test('is moved aside with its log, a fresh one is started and says where the old one is', async () => {
    writeSample(path, 5, 15);
    const size = statSync(path).size;
    // Page 2 onwards; the header stays, so that it can be told whose file it is.
    scribble(path, 4096, Buffer.alloc(3 * 4096, 0x5a));
    writeFileSync(`${path}-wal`, 'left behind');
    const damaged = readFileSync(path);
    const { journal } = await watch(path);
    expect(journal.opened).toMatchObject({ movedAside: `${path}.damaged-1`, lastRun: 0, lastSeq: 0 });
    await journal.close();
    expect(readFileSync(`${path}.damaged-1`).equals(damaged)).toBe(true);
    expect(readFileSync(`${path}.damaged-1-wal`, 'utf8')).toBe('left behind');
    expect(damaged.length).toBe(size);
  });

  test('gets the next free number', async () => {
    for (const n of [1, 2]) {
      writeSample(path, n, 15);
      scribble(path, 4096, Buffer.alloc(8192, 0x5a));
      const { journal } = await watch(path);
      expect(journal.opened.movedAside).toBe(`${path}.damaged-${n}`);
      await journal.close();
    }
  });

  test('takes its own log along, so that nothing of it comes back in the fresh one', () => {
    const d = direct(path);
    d.append(d.scenario.startRun());
    d.writer.flush();
    const wal = readFileSync(`${path}-wal`);
    d.close();
    scribble(path, 4096, Buffer.alloc(8192, 0x5a));
    writeFileSync(`${path}-wal`, wal.subarray(0, 20));
    const fresh = direct(path);
    expect(fresh.store.movedAside).toBe(`${path}.damaged-1`);
    expect(fresh.writer.opened().lastRun).toBe(0);
    fresh.close();
    expect(existsSync(`${path}.damaged-1`)).toBe(true);
  });

  test.each([
    [
      'a newest part that does not match its seal',
      "UPDATE blocks SET content = CAST(x'ff' || substr(content, 2) AS BLOB) WHERE last_part = (SELECT max(last_part) FROM blocks)",
    ],
    ['a lost end', 'DELETE FROM blocks WHERE last_part = (SELECT max(last_part) FROM blocks)'],
    ['outcomes that are no JSON', "UPDATE outcomes SET body = '{' WHERE event = (SELECT max(event) FROM outcomes)"],
    ['no id', "DELETE FROM meta WHERE key = 'journal-id'"],
  ])('is also one with %s', (_name, sql) => {
    writeSample(path, 5, 15);
    const db = new Database(path);
    db.exec(sql);
    db.close();
    const d = direct(path);
    expect(d.store.movedAside).toBe(`${path}.damaged-1`);
    d.close();
  });

  test('in any place either opens with its whole past, or is moved aside, or is refused; nothing is lost (seed 9)', () => {
    const sample = join(folder.path, 'sample.journal');
    writeSample(sample, 9, 15);
    const random = seeded(9);
    const { size } = statSync(sample);
    const seen = { whole: 0, aside: 0, refused: 0 };
    for (let i = 0; i < 40; i += 1) {
      const place = join(folder.path, `copy-${i}.journal`);
      copyFileSync(sample, place);
      scribble(
        place,
        Math.floor(random() * size),
        Buffer.from(Array.from({ length: 64 }, () => Math.floor(random() * 256))),
      );
      const before = readFileSync(place);
      try {
        const d = direct(place);
        const aside = d.store.movedAside;
        const { lastRun } = d.writer.opened();
        d.close();
        expect(lastRun).toBe(aside === null ? 2 : 0);
        if (aside !== null) expect(readFileSync(aside).equals(before)).toBe(true);
        seen[aside === null ? 'whole' : 'aside'] += 1;
      } catch (error) {
        expect(error).toMatchObject({ code: 'journal-damaged' });
        expect(readFileSync(place).equals(before)).toBe(true);
        seen.refused += 1;
      }
    }
    expect(seen.aside).toBeGreaterThan(0);
  });
});

test('reading a journal with a block that does not unpack is an error in words', () => {
  writeSample(path, 5, 15);
  const db = new Database(path);
  db.exec("UPDATE blocks SET parts = x'00' WHERE last_part = (SELECT max(last_part) FROM blocks)");
  db.close();
  const file = readJournal(path);
  expect(() => [...file.entries()]).toThrow(/bay\.journal: .*parts 30 to 30.*\[journal-damaged\]/s);
  file.close();
});

describe('what is no journal', () => {
  test.each([
    ['a text', 'time,level\n0,12.5\n'.repeat(100)],
    ['a short text', 'notes'],
    ['zeros', '\0'.repeat(8192)],
  ])('%s is refused and left as it is', async (_name, text) => {
    writeFileSync(path, text);
    await expect(watch(path)).rejects.toMatchObject({ code: 'journal-damaged' });
    expect(() => readJournal(path)).toThrow(/\[journal-damaged\]/);
    expect(readFileSync(path, 'utf8')).toBe(text);
    expect(existsSync(`${path}.damaged-1`)).toBe(false);
  });

  test('an SQLite file of another program is refused and left as it is', async () => {
    const db = new Database(path);
    db.exec('CREATE TABLE accounts (name TEXT)');
    db.close();
    const before = readFileSync(path);
    await expect(watch(path)).rejects.toMatchObject({ code: 'journal-damaged' });
    expect(() => readJournal(path)).toThrow(/another program/);
    expect(readFileSync(path).equals(before)).toBe(true);
  });

  test('an empty file is taken as a new journal', async () => {
    writeFileSync(path, '');
    const { journal } = await watch(path);
    expect(journal.opened).toMatchObject({ lastRun: 0, movedAside: null });
    await journal.close();
  });

  test('an empty file holds nothing to read', () => {
    writeFileSync(path, '');
    expect(() => readJournal(path)).toThrow(/the file is empty.*\[journal-damaged\]/);
  });

  test.each([
    ['a folder that is not there', 'nowhere/bay.journal'],
    ['a folder in place of the file', 'folder'],
  ])('%s is unreachable', async (_name, name) => {
    mkdirSync(join(folder.path, 'folder'));
    await expect(watch(join(folder.path, name))).rejects.toMatchObject({ code: 'journal-unreachable' });
    expect(() => readJournal(join(folder.path, name))).toThrow(/\[journal-unreachable\]/);
  });

  test('a journal that is not there is not made by reading', () => {
    expect(() => readJournal(path)).toThrow(/\[journal-unreachable\]/);
    expect(existsSync(path)).toBe(false);
    expect(() => connectReader(path)).toThrow();
  });
});
