/** Files that are there as a whole or not at all, and stay there once the call has returned. */
import { closeSync, fsyncSync, openSync, renameSync, rmSync, writeSync } from 'node:fs';
import { dirname } from 'node:path';

/** What stands in for the file while it is not whole: a power cut may leave it, the next try writes over it. */
export const PART = '.part';

/** Writes through `fill`, beside the wanted place; renamed when all of it is on the disk. */
export function writeWhole(
  path: string,
  fill: (write: (bytes: Uint8Array | string) => void) => void,
  mode = 0o644,
): void {
  const beside = path + PART;
  rmSync(beside, { force: true });
  const file = openSync(beside, 'wx', mode);
  let whole = false;
  try {
    fill((bytes) => writeAll(file, bytes));
    fsyncSync(file);
    whole = true;
  } finally {
    closeSync(file);
    if (!whole) rmSync(beside, { force: true });
  }
  renameSync(beside, path);
  syncFolder(dirname(path));
}

export function writeDurably(path: string, text: string, mode = 0o644): void {
  writeWhole(path, (write) => write(text), mode);
}

function writeAll(file: number, content: Uint8Array | string): void {
  const bytes = typeof content === 'string' ? Buffer.from(content) : content;
  for (let at = 0; at < bytes.length; ) at += writeSync(file, bytes, at);
}

/** So that the new name is kept too. Where a folder cannot be opened (Windows), the system sees to it. */
function syncFolder(folder: string): void {
  let descriptor: number;
  try {
    descriptor = openSync(folder, 'r');
  } catch {
    return;
  }
  try {
    fsyncSync(descriptor);
  } catch {
    // Some file systems refuse it for folders.
  } finally {
    closeSync(descriptor);
  }
}
