/**
 * A journal in a folder that this user may not write to: SQLite wants files beside one with a write-ahead log even to read
 * it, so it is read from a copy.
 */
import { constants, copyFileSync, existsSync, mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { basename, join } from 'node:path';

export interface Copy {
  readonly path: string;
  remove(): void;
}

/** Whether SQLite gave up for want of rights to the folder. */
export function wantsFolder(code: string): boolean {
  return code.startsWith('SQLITE_READONLY') || code.startsWith('SQLITE_CANTOPEN');
}

/** The journal and its log, together; null where they cannot be copied either. */
export function copyOf(path: string): Copy | null {
  let folder: string | null = null;
  try {
    folder = mkdtempSync(join(tmpdir(), 'stillwell-read-'));
    const made = folder;
    const copy = join(made, basename(path));
    for (const tail of ['', '-wal'])
      if (tail === '' || existsSync(path + tail)) copyFileSync(path + tail, copy + tail, constants.COPYFILE_FICLONE);
    return { path: copy, remove: () => rmSync(made, { recursive: true, force: true }) };
  } catch {
    if (folder !== null) rmSync(folder, { recursive: true, force: true });
    return null;
  }
}
