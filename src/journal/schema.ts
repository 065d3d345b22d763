/** What is in the file: identity, versions, tables. A change of tables is a new step at the end of MIGRATIONS. */
import { randomUUID } from 'node:crypto';
import type Database from 'better-sqlite3';
import { StillwellError } from '../errors.ts';

/** In the header of the file (PRAGMA application_id): the letters S t W l. */
export const APPLICATION_ID = 0x5374576c;

/** The file as it is before step 0 → 1: a name of its own and nothing else. */
const VERSION_0 = `
CREATE TABLE meta (key TEXT PRIMARY KEY, value TEXT NOT NULL) STRICT, WITHOUT ROWID;
`;

/*
 * blocks      the sealed stream. A row holds one part as it was committed, or several after compaction; `parts` lists
 *             them (seal.ts), `stored` is SHA-256 of the column `content` as it stands.
 * runs, outcomes  projections of the stream, checked against it by the seal. utc_ms is 0 until the run has an anchor.
 * checkpoints, envelope  outside the seal. The envelope has one row per channel and second of the wall clock.
 */
const VERSION_1 = `
CREATE TABLE runs (
  run INTEGER PRIMARY KEY, seq INTEGER NOT NULL, utc_ms INTEGER NOT NULL,
  schema INTEGER NOT NULL, algorithm INTEGER NOT NULL, software TEXT NOT NULL, bench TEXT NOT NULL
) STRICT;
CREATE TABLE blocks (
  last_part INTEGER PRIMARY KEY, first_part INTEGER NOT NULL, run INTEGER NOT NULL,
  first_seq INTEGER NOT NULL, last_seq INTEGER NOT NULL, first_t_us INTEGER NOT NULL, last_t_us INTEGER NOT NULL,
  entries INTEGER NOT NULL, bytes INTEGER NOT NULL, codec INTEGER NOT NULL,
  stored BLOB NOT NULL, parts BLOB NOT NULL, content BLOB NOT NULL
) STRICT;
CREATE INDEX blocks_by_seq ON blocks (last_seq);
CREATE INDEX blocks_to_compact ON blocks (last_part) WHERE codec = 1;
CREATE TABLE outcomes (
  event INTEGER PRIMARY KEY, run INTEGER NOT NULL, seq INTEGER NOT NULL, t_us INTEGER NOT NULL,
  utc_ms INTEGER NOT NULL, kind TEXT NOT NULL, action_id TEXT UNIQUE, body TEXT NOT NULL
) STRICT;
CREATE INDEX outcomes_by_kind ON outcomes (kind, event);
CREATE INDEX outcomes_undated ON outcomes (run) WHERE utc_ms = 0;
CREATE TABLE checkpoints (
  id INTEGER PRIMARY KEY, run INTEGER NOT NULL, seq INTEGER NOT NULL, why TEXT NOT NULL,
  state BLOB NOT NULL, digest BLOB NOT NULL
) STRICT;
CREATE TABLE envelope (
  channel TEXT NOT NULL, utc_s INTEGER NOT NULL, min REAL NOT NULL, max REAL NOT NULL, count INTEGER NOT NULL,
  PRIMARY KEY (channel, utc_s)
) STRICT, WITHOUT ROWID;
`;

/** Step n brings a file from version n to version n + 1. */
export const MIGRATIONS: readonly string[] = [VERSION_1];

export const FILE_VERSION = MIGRATIONS.length;

export function fileVersion(db: Database.Database): number {
  return db.pragma('user_version', { simple: true }) as number;
}

/**
 * Whose file it is. Throws where it is an SQLite file of something else, or of a newer Stillwell.
 * @returns 'empty' for a file without any table.
 */
export function identify(db: Database.Database, where: string): 'empty' | 'journal' {
  const id = db.pragma('application_id', { simple: true });
  if (id === APPLICATION_ID) {
    const version = fileVersion(db);
    if (version <= FILE_VERSION) return 'journal';
    throw new StillwellError('journal-newer', where, `schema ${version}; this software knows ${FILE_VERSION}`);
  }
  const tables = db.prepare('SELECT count(*) FROM sqlite_schema').pluck().get();
  if (id === 0 && tables === 0) return 'empty';
  throw new StillwellError('journal-damaged', where, 'it is an SQLite file of another program; nothing was changed');
}

/** Brings the file to FILE_VERSION, all steps in one transaction; an empty one gets its id first. */
export function migrate(db: Database.Database, steps: readonly string[] = MIGRATIONS): void {
  db.transaction(() => {
    if (db.pragma('application_id', { simple: true }) === 0) createVersion0(db);
    for (const step of steps.slice(fileVersion(db))) db.exec(step);
    db.pragma(`user_version = ${steps.length}`);
  }).immediate();
}

function createVersion0(db: Database.Database): void {
  db.exec(VERSION_0);
  db.prepare("INSERT INTO meta VALUES ('journal-id', ?)").run(randomUUID());
  db.pragma(`application_id = ${APPLICATION_ID}`);
}

export function journalIdOf(db: Database.Database): string {
  const id = db.prepare("SELECT value FROM meta WHERE key = 'journal-id'").pluck().get();
  if (typeof id !== 'string') throw new StillwellError('journal-damaged', 'journal', 'it has lost its id');
  return id;
}
