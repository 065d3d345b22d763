/**
 * One writer per journal. A second SQLite file beside it, always empty, is held in an exclusive transaction for the
 * writer's life: the lock is the operating system's, so it ends with the process however that ends. The journal's own
 * lock cannot serve, since readers must get in. The file stays behind: removing it would let two owners in.
 */
import Database from 'better-sqlite3';
import { StillwellError } from '../errors.ts';
import { sqliteCode } from './connect.ts';

export interface Lock {
  release(): void;
}

export function takeLock(path: string): Lock {
  let db: Database.Database | null = null;
  try {
    db = new Database(`${path}-lock`, { timeout: 0 });
    // The transaction never ends in a write: no journal file for it, which a killed process would leave behind.
    db.pragma('journal_mode = MEMORY');
    db.exec('BEGIN EXCLUSIVE');
  } catch (error) {
    db?.close();
    if (sqliteCode(error)?.startsWith('SQLITE_BUSY')) throw new StillwellError('journal-locked', path);
    throw new StillwellError('journal-unreachable', path, (error as Error).message);
  }
  const held = db;
  return {
    release() {
      held.close();
    },
  };
}
