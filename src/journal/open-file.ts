/**
 * Opens the journal for writing: finds out whose file it is, brings it up to date, and checks it. A damaged journal is
 * moved aside with its log and a fresh one started; what is no journal is never touched.
 */
import { closeSync, existsSync, openSync, readSync, realpathSync, renameSync } from 'node:fs';
import { basename, dirname, join } from 'node:path';
import type Database from 'better-sqlite3';
import { StillwellError } from '../errors.ts';
import { connectWithoutTrace, connectWriter, makeDurable, sqliteCode } from './connect.ts';
import { DamageError } from './damage.ts';
import { APPLICATION_ID, FILE_VERSION, fileVersion, identify, migrate } from './schema.ts';
import { loadState, type StoreState } from './state.ts';

export interface OpenedFile {
  readonly db: Database.Database;
  readonly state: StoreState;
  /** Where a damaged predecessor is now, or null. */
  readonly movedAside: string | null;
}

/** The file itself, whatever links lead to it: one journal has one lock. */
export function truePath(path: string): string {
  try {
    return existsSync(path) ? realpathSync(path) : join(realpathSync(dirname(path)), basename(path));
  } catch (error) {
    throw new StillwellError('journal-unreachable', path, (error as Error).message);
  }
}

/** Call only while holding the lock. */
export function openFile(path: string): OpenedFile {
  const damage = damageOf(path);
  const movedAside = damage === null ? null : moveAside(path);
  const db = connectWriter(path);
  try {
    makeDurable(db, path);
    migrate(db);
    return { db, state: loadState(db), movedAside };
  } catch (error) {
    db.close();
    throw sqliteCode(error) === null ? error : unreachable(path, error);
  }
}

/**
 * What is wrong with the journal, in words; null for a sound one, or where there is none yet. Throws where the file is
 * not ours to open. It looks with a connection that cannot write: a damaged file stays as it was found, log and all.
 */
function damageOf(path: string): string | null {
  if (!existsSync(path)) return null;
  let db: Database.Database | null = null;
  try {
    db = connectWithoutTrace(path);
    if (identify(db, path) === 'empty') return null;
    const check = db.pragma('quick_check(1)', { simple: true });
    if (check !== 'ok') return String(check);
    if (fileVersion(db) === FILE_VERSION) loadState(db);
    return null;
  } catch (error) {
    if (error instanceof DamageError) return error.message;
    const code = sqliteCode(error);
    if (code === null) throw error;
    if (code !== 'SQLITE_NOTADB' && !code.startsWith('SQLITE_CORRUPT')) throw unreachable(path, error);
    if (hasOurHeader(path)) return (error as Error).message;
    throw new StillwellError('journal-damaged', path, `${(error as Error).message}; it was left as it is`);
  } finally {
    db?.close();
  }
}

function unreachable(path: string, error: unknown): StillwellError {
  return new StillwellError('journal-unreachable', path, `${(error as Error).message}, ${sqliteCode(error)}`);
}

/**
 * Looks at the header past SQLite, which has given the file up. Only then: closing a plain descriptor drops this
 * process's locks on the file.
 */
function hasOurHeader(path: string): boolean {
  const header = Buffer.alloc(100);
  const descriptor = openSync(path, 'r');
  try {
    readSync(descriptor, header, 0, header.length, 0);
  } finally {
    closeSync(descriptor);
  }
  return header.toString('latin1', 0, 16) === 'SQLite format 3\0' && header.readInt32BE(68) === APPLICATION_ID;
}

/** Renames the file and its -wal and -shm, so that they stay together, to the first free name. */
function moveAside(path: string): string {
  let n = 1;
  while (existsSync(`${path}.damaged-${n}`)) n += 1;
  const aside = `${path}.damaged-${n}`;
  for (const tail of ['-wal', '-shm', '']) {
    if (existsSync(path + tail)) renameSync(path + tail, aside + tail);
  }
  return aside;
}
