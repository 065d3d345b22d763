/**
 * Photos of jobs, beside the journal: the record names them by the SHA-256 of their bytes, so one that was changed or
 * exchanged since is none any more. One is kept once `keep` has returned: it survives a power cut.
 */
import { createHash } from 'node:crypto';
import { mkdirSync, readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { writeWhole } from './sealed/durable-file.ts';

export const PHOTO_TYPES = { jpg: 'image/jpeg', png: 'image/png', webp: 'image/webp' } as const;
type Extension = keyof typeof PHOTO_TYPES;
export type PhotoType = (typeof PHOTO_TYPES)[Extension];

export interface Photo {
  readonly type: PhotoType;
  readonly bytes: Buffer;
}

const EXTENSIONS = Object.keys(PHOTO_TYPES) as readonly Extension[];
const SHA256 = /^[0-9a-f]{64}$/;

/** Folder of the photos of a journal. */
export function photosOf(journal: string): string {
  return `${journal}.photos`;
}

/** By its first bytes: JPEG (ITU-T T.81), PNG (ISO/IEC 15948), WebP (RFC 9649); null for anything else. */
export function photoType(bytes: Uint8Array): PhotoType | null {
  const starts = (at: number, ...signature: number[]) => signature.every((byte, i) => bytes[at + i] === byte);
  if (starts(0, 0xff, 0xd8, 0xff)) return PHOTO_TYPES.jpg;
  if (starts(0, 0x89, 0x50, 0x4e, 0x47, 0x0d, 0x0a, 0x1a, 0x0a)) return PHOTO_TYPES.png;
  const riff = starts(0, 0x52, 0x49, 0x46, 0x46) && starts(8, 0x57, 0x45, 0x42, 0x50);
  return riff ? PHOTO_TYPES.webp : null;
}

export class Photos {
  readonly #folder: string;
  readonly #known: Set<string>;

  constructor(folder: string) {
    this.#folder = folder;
    this.#known = new Set(namesIn(folder));
  }

  has(sha256: string): boolean {
    return EXTENSIONS.some((extension) => this.#known.has(`${sha256}.${extension}`));
  }

  /** Its SHA-256; null where it is no picture of a known type. Throws where the disk does. */
  keep(bytes: Uint8Array): string | null {
    const type = photoType(bytes);
    const extension = EXTENSIONS.find((one) => PHOTO_TYPES[one] === type);
    if (extension === undefined) return null;
    const sha256 = createHash('sha256').update(bytes).digest('hex');
    const name = `${sha256}.${extension}`;
    if (this.#known.has(name)) return sha256;
    mkdirSync(this.#folder, { recursive: true });
    writeWhole(join(this.#folder, name), (write) => write(bytes));
    this.#known.add(name);
    return sha256;
  }

  read(sha256: string): Photo | null {
    return SHA256.test(sha256) ? readPhoto(this.#folder, sha256) : null;
  }
}

/** Null where it is missing, or is not what the name says. */
export function readPhoto(folder: string, sha256: string): Photo | null {
  for (const extension of EXTENSIONS) {
    let bytes: Buffer;
    try {
      bytes = readFileSync(join(folder, `${sha256}.${extension}`));
    } catch {
      continue;
    }
    const same = createHash('sha256').update(bytes).digest('hex') === sha256;
    return same ? { type: PHOTO_TYPES[extension], bytes } : null;
  }
  return null;
}

function namesIn(folder: string): string[] {
  try {
    return readdirSync(folder);
  } catch {
    // None was sent yet.
    return [];
  }
}
