/** Connections to the journal's file, with the promises that they must keep. */
import Database from 'better-sqlite3';
import { StillwellError } from '../errors.ts';

/** Below it two connections can damage a file in WAL mode when one of them restarts the log. */
export const LEAST_SQLITE = '3.51.3';

/** How long a connection waits for another one, ms. Only tools from outside can make the writer wait. */
const BUSY_MS = 2000;
/** The write-ahead log is cut back to this after it has been copied into the file. */
const WAL_LIMIT_BYTES = 4 * 1024 * 1024;

/** The writer's connection. synchronous=FULL: a commit that returned is on the disk. */
export function connectWriter(path: string, fileMustExist = false): Database.Database {
  const db = new Database(path, { timeout: BUSY_MS, fileMustExist });
  try {
    assertSafe(path, db.prepare('SELECT sqlite_version()').pluck().get() as string);
    return db;
  } catch (error) {
    db.close();
    throw error;
  }
}

/** Sets what makes commits durable and reads it back. Changes the file: only for one that is known to be a journal. */
export function makeDurable(db: Database.Database, where: string): void {
  const mode = db.pragma('journal_mode = WAL', { simple: true });
  db.pragma('synchronous = FULL');
  // On macOS a plain fsync leaves data in the drive's cache; elsewhere this changes nothing.
  db.pragma('fullfsync = ON');
  db.pragma(`journal_size_limit = ${WAL_LIMIT_BYTES}`);
  // The value right after the switch to WAL can be that of the old mode: read it after a use of the file.
  db.prepare('SELECT count(*) FROM sqlite_schema').get();
  const synchronous = db.pragma('synchronous', { simple: true });
  if (mode !== 'wal' || synchronous !== 2) {
    throw new StillwellError('journal-unsafe-sqlite', where, `journal_mode ${mode}, synchronous ${synchronous}`);
  }
}

/**
 * For queries beside the writer, and for the command line. It changes no data; being able to write it can, as the last
 * one to go, put away the files beside the journal, which a purely reading one would leave behind.
 */
export function connectReader(path: string): Database.Database {
  const db = new Database(path, { fileMustExist: true, timeout: BUSY_MS });
  db.pragma('query_only = ON');
  return db;
}

/** For a look at a file that may be damaged: nothing is written to it or its log, not even at the end. */
export function connectWithoutTrace(path: string): Database.Database {
  return new Database(path, { readonly: true, fileMustExist: true, timeout: BUSY_MS });
}

export function assertSafe(where: string, version: string): void {
  const numbers = (text: string) => text.split('.').map(Number);
  const [least, found] = [numbers(LEAST_SQLITE), numbers(version)];
  for (const [i, number] of least.entries()) {
    if ((found[i] ?? 0) > number) return;
    if ((found[i] ?? 0) < number) {
      throw new StillwellError('journal-unsafe-sqlite', where, `SQLite ${version}, needed ${LEAST_SQLITE}`);
    }
  }
}

/** The SQLite result code of an error, or null. */
export function sqliteCode(error: unknown): string | null {
  return error instanceof Database.SqliteError ? error.code : null;
}
