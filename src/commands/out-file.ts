/** A file that a command makes: written beside the wanted place and renamed at the end, so a failure leaves what was there. */
import { closeSync, openSync, renameSync, rmSync, statSync, writeSync } from 'node:fs';
import { resolve } from 'node:path';
import { StillwellError } from '../errors.ts';

export interface OutFile {
  write(text: string): void;
  /** The file is whole: it takes its place. */
  keep(): void;
  /** To be called in any case; what was not kept is gone. */
  close(): void;
}

/** @param inputs files that are read from, and so must not be written to. */
export function startFile(path: string, inputs: readonly string[] = []): OutFile {
  const beside = `${path}.part`;
  let file: number;
  try {
    if (inputs.some((input) => resolve(input) === resolve(path))) throw new Error('it is read from');
    if (statSync(path, { throwIfNoEntry: false })?.isDirectory()) throw new Error('it is a folder');
    file = openSync(beside, 'w');
  } catch (error) {
    throw new StillwellError('file-unwritable', path, (error as Error).message);
  }
  let kept = false;
  return {
    write(text) {
      try {
        writeSync(file, text);
      } catch (error) {
        throw new StillwellError('file-unwritable', path, (error as Error).message);
      }
    },
    keep() {
      renameSync(beside, path);
      kept = true;
    },
    close() {
      closeSync(file);
      if (!kept) rmSync(beside, { force: true });
    },
  };
}
