/** The files of the page, read once at start: no path from a client ever reaches the file system. */
import { readdirSync, readFileSync } from 'node:fs';
import { extname, join, relative, sep } from 'node:path';
import { StillwellError } from '../errors.ts';

export interface PageFile {
  readonly body: Buffer;
  readonly type: string;
  readonly cache: string;
}

const TYPES: Readonly<Record<string, string>> = {
  '.html': 'text/html; charset=utf-8',
  '.js': 'text/javascript; charset=utf-8',
  '.mjs': 'text/javascript; charset=utf-8',
  '.css': 'text/css; charset=utf-8',
  '.json': 'application/json; charset=utf-8',
  '.webmanifest': 'application/manifest+json; charset=utf-8',
  '.txt': 'text/plain; charset=utf-8',
  '.svg': 'image/svg+xml; charset=utf-8',
  '.png': 'image/png',
  '.ico': 'image/x-icon',
  '.woff2': 'font/woff2',
};

/** The build puts a digest of the content into these names, so they never change. */
const HASHED = /^\/assets\/.+-[\w-]{8}\.\w+$/;

/**
 * All files under `dir` by URL path; `/` is index.html.
 * @throws StillwellError page-missing
 */
export function readPageFiles(dir: string): ReadonlyMap<string, PageFile> {
  const files = new Map<string, PageFile>();
  try {
    for (const entry of readdirSync(dir, { recursive: true, withFileTypes: true })) {
      const type = TYPES[extname(entry.name)];
      // Links are not followed, and what has no type of ours is not part of a page.
      if (!entry.isFile() || type === undefined) continue;
      const path = join(entry.parentPath, entry.name);
      const url = encodeURI(`/${relative(dir, path).split(sep).join('/')}`);
      const cache = HASHED.test(url) ? 'public, max-age=31536000, immutable' : 'no-cache';
      files.set(url, { body: readFileSync(path), type, cache });
    }
  } catch (error) {
    throw new StillwellError('page-missing', dir, error instanceof Error ? error.message : String(error));
  }
  const index = files.get('/index.html');
  if (index === undefined) throw new StillwellError('page-missing', dir, 'no index.html');
  return files.set('/', index);
}
