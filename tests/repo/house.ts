/** The source files of the house and what they import, read as text. */
import { readdirSync, readFileSync } from 'node:fs';
import { dirname, join, relative, resolve, sep } from 'node:path';
import { fileURLToPath } from 'node:url';

/** The checkout, from the sources or from dist. */
export const ROOT = findRoot();

export interface SourceFile {
  /** From the root, with forward slashes. */
  readonly path: string;
  readonly text: string;
  /** Paths from the root for files of ours, package names otherwise. */
  readonly imports: readonly string[];
}

export function sourceFiles(): SourceFile[] {
  return ['src', 'drivers', 'simulators', 'tests'].flatMap(walk).map((path) => {
    const text = readFileSync(join(ROOT, path), 'utf8');
    return { path, text, imports: importsOf(path, text) };
  });
}

/** Code without comments and without the contents of strings and templates. */
export function bareCode(text: string): string {
  return text
    .replace(/\/\*[\s\S]*?\*\//g, '')
    .replace(/(^|[^:])\/\/.*$/gm, '$1')
    .replace(/'(?:[^'\\\n]|\\.)*'/g, "''")
    .replace(/"(?:[^"\\\n]|\\.)*"/g, '""')
    .replace(/`(?:[^`\\$]|\\.|\$(?!\{))*`/g, '``');
}

function walk(folder: string): string[] {
  return readdirSync(join(ROOT, folder), { withFileTypes: true }).flatMap((entry) => {
    const path = `${folder}/${entry.name}`;
    if (entry.isDirectory()) return entry.name === 'node_modules' ? [] : walk(path);
    return /\.(ts|tsx)$/.test(entry.name) ? [path] : [];
  });
}

function importsOf(path: string, text: string): string[] {
  const found = [
    ...text.matchAll(/(?:from|import)\s*\(?\s*'([\w@./:#-]+)'/g),
    ...text.matchAll(/new URL\('([\w@./:#-]+\.ts)'/g),
  ];
  return found.map(([, target]) => {
    const name = target as string;
    if (!name.startsWith('.')) return name;
    return relative(ROOT, resolve(ROOT, dirname(path), name))
      .split(sep)
      .join('/');
  });
}

function findRoot(): string {
  const here = dirname(fileURLToPath(import.meta.url));
  return resolve(here, here.includes(`${sep}dist${sep}`) ? '../../..' : '../..');
}
