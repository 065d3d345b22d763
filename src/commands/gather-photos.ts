/** The photos that a job names, as far as they are here: beside the journal, or one folder up from a sealed job. */
import { readdirSync } from 'node:fs';
import { dirname, join } from 'node:path';
import type { DatedOutcome } from '../journal/contract.ts';
import { photosOf, readPhoto } from '../journal/photos.ts';
import type { PhotoInRecord } from '../report/record.ts';

/** A report holds so much of them at most: it is sent by mail. */
const MOST_BYTES = 20 * 1024 * 1024;

export function photosFor(file: string, outcomes: readonly DatedOutcome[]): Map<string, PhotoInRecord> {
  const named = new Set(outcomes.flatMap(({ outcome }) => (outcome.kind === 'step' ? outcome.photos : [])));
  const found = new Map<string, PhotoInRecord>();
  if (named.size === 0) return found;
  const folders = foldersFor(file);
  let room = MOST_BYTES;
  for (const sha256 of named) {
    const photo = folders.map((folder) => readPhoto(folder, sha256)).find((one) => one !== null);
    if (photo === undefined || photo === null) continue;
    const { type, bytes } = photo;
    const fits = bytes.length <= room;
    if (fits) room -= bytes.length;
    found.set(sha256, { type, base64: fits ? bytes.toString('base64') : null });
  }
  return found;
}

/** Any of them does: what a photo is called says what is in it. */
function foldersFor(file: string): string[] {
  const around = [dirname(file), dirname(dirname(file))];
  const beside = around.flatMap((folder) => {
    try {
      return readdirSync(folder)
        .filter((name) => name.endsWith(photosOf('')))
        .map((name) => join(folder, name));
    } catch {
      return [];
    }
  });
  return [photosOf(file), ...beside];
}
