import { copyFileSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import Database from 'better-sqlite3';
import { afterEach, beforeEach, expect, test } from 'vitest';
import { readJournal } from '../../src/journal/read-file.ts';
import { APPLICATION_ID, FILE_VERSION, MIGRATIONS, migrate } from '../../src/journal/schema.ts';
import { direct } from './direct.ts';
import { temporaryFolder } from './watched.ts';

/** Kept as it was written: version 0, one table, the id below. */
const KEPT = fileURLToPath(new URL('fixtures/version-0.sqlite', import.meta.url));
const KEPT_ID = '4f1c2a52-6a0e-4a53-9d0b-3f6f0f0c7e11';

let folder: ReturnType<typeof temporaryFolder>;
let path: string;
beforeEach(() => {
  folder = temporaryFolder();
  path = join(folder.path, 'old.journal');
  copyFileSync(KEPT, path);
});
afterEach(() => folder.remove());

test('the kept file is of version 0: an id and nothing else', () => {
  const db = new Database(path, { readonly: true });
  expect(db.pragma('user_version', { simple: true })).toBe(0);
  expect(db.pragma('application_id', { simple: true })).toBe(APPLICATION_ID);
  expect(db.prepare('SELECT name FROM sqlite_schema').pluck().all()).toEqual(['meta']);
  db.close();
});

test('a kept file of version 0 is brought up to date, keeps its id, and takes a run', () => {
  const d = direct(path);
  expect(d.writer.opened()).toMatchObject({ journalId: KEPT_ID, lastRun: 0, movedAside: null });
  d.append(d.scenario.startRun());
  d.append(d.scenario.reading());
  d.close();
  const file = readJournal(path);
  expect(file.journalId).toBe(KEPT_ID);
  expect(file.verifySeal()).toMatchObject({ ok: true, entries: 6 });
  file.close();
});

test('a migrated file has the same tables as a fresh one', () => {
  const schema = (file: string) => {
    direct(file).close();
    const db = new Database(file, { readonly: true });
    const rows = db.prepare('SELECT type, name, sql FROM sqlite_schema ORDER BY name').all();
    expect(db.pragma('user_version', { simple: true })).toBe(FILE_VERSION);
    db.close();
    return rows;
  };
  expect(schema(path)).toEqual(schema(join(folder.path, 'fresh.journal')));
});

test('steps run in one transaction: a step that fails leaves the file as it was', () => {
  const db = new Database(path);
  const failing = [...MIGRATIONS, 'CREATE TABLE extra (a); CREATE TABLE extra (a)'];
  expect(() => migrate(db, failing)).toThrow(/already exists/);
  expect(db.prepare('SELECT name FROM sqlite_schema').pluck().all()).toEqual(['meta']);
  expect(db.pragma('user_version', { simple: true })).toBe(0);
  migrate(db, [...MIGRATIONS, 'CREATE TABLE extra (a)']);
  expect(db.pragma('user_version', { simple: true })).toBe(FILE_VERSION + 1);
  expect(db.prepare("SELECT count(*) FROM sqlite_schema WHERE name = 'extra'").pluck().get()).toBe(1);
  db.close();
});

test('only the missing steps run', () => {
  const db = new Database(path);
  migrate(db);
  migrate(db, [...MIGRATIONS, 'CREATE TABLE extra (a)']);
  migrate(db, [...MIGRATIONS, 'CREATE TABLE extra (a)']);
  expect(db.pragma('user_version', { simple: true })).toBe(FILE_VERSION + 1);
  db.close();
});

test('a file of a newer version is refused, for writing and for reading, and not touched', () => {
  const db = new Database(path);
  migrate(db, [...MIGRATIONS, 'CREATE TABLE extra (a)']);
  db.close();
  const before = readFileSync(path);
  expect(() => direct(path)).toThrow(/schema 2; this software knows 1.*\[journal-newer\]/);
  expect(() => readJournal(path)).toThrow(/\[journal-newer\]/);
  expect(readFileSync(path).equals(before)).toBe(true);
});

test('an older file is not read without being brought up to date first', () => {
  expect(() => readJournal(path)).toThrow(/schema 0; this software reads 1.*\[journal-older\]/);
});
