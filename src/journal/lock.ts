/**
 * One writer per journal. A second SQLite file beside it, always empty, is held in an exclusive transaction for the
 * writer's life: the lock is the operating system's, so it ends with the process however that ends. The journal's own
 * lock cannot serve, since readers must get in. Whoever holds it removes the file at the end; a killed process leaves it
 * behind, which does no harm.
 */
import { type BigIntStats, rmSync, statSync } from 'node:fs';
import Database from 'better-sqlite3';
import { StillwellError } from '../errors.ts';
import { sqliteCode } from './connect.ts';

export interface Lock {
  release(): void;
}

/** Each further try is lost only to another process that has come and gone in between. */
const MOST_TRIES = 100;

export function takeLock(path: string): Lock {
  const file = `${path}-lock`;
  for (let i = 0; i < MOST_TRIES; i++) {
    const db = tryLock(file, path);
    if (db === null) continue;
    return {
      release() {
        // Removed while it is still held: only the holder ever does. Windows refuses, and the file stays.
        try {
          rmSync(file, { force: true });
        } catch {}
        db.close();
      },
    };
  }
  throw new StillwellError('journal-locked', path);
}

/** Null where what was locked is not the file that has the name: its last holder removed it meanwhile. */
function tryLock(file: string, path: string): Database.Database | null {
  let db: Database.Database | null = null;
  try {
    if (identityOf(file) === null) hold(file).close();
    const before = identityOf(file);
    db = hold(file);
    if (before !== null && identityOf(file) === before) return db;
    db.close();
    return null;
  } catch (error) {
    db?.close();
    if (sqliteCode(error)?.startsWith('SQLITE_BUSY')) throw new StillwellError('journal-locked', path);
    throw new StillwellError('journal-unreachable', path, (error as Error).message);
  }
}

function hold(file: string): Database.Database {
  const db = new Database(file, { timeout: 0 });
  try {
    // The transaction never ends in a write: no journal file for it, which a killed process would leave behind.
    db.pragma('journal_mode = MEMORY');
    db.exec('BEGIN EXCLUSIVE');
    return db;
  } catch (error) {
    db.close();
    throw error;
  }
}

/** Which file has the name, without opening it: closing a plain descriptor would drop this process's own locks on it. */
function identityOf(file: string): string | null {
  const found: BigIntStats | undefined = statSync(file, { bigint: true, throwIfNoEntry: false });
  return found === undefined ? null : `${found.dev}:${found.ino}:${found.birthtimeNs}`;
}
