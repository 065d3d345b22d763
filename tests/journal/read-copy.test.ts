import { execFile } from 'node:child_process';
import {
  chmodSync,
  existsSync,
  mkdirSync,
  mkdtempSync,
  readdirSync,
  readFileSync,
  rmSync,
  writeFileSync,
} from 'node:fs';
import { tmpdir } from 'node:os';
import { dirname, join } from 'node:path';
import { afterEach, beforeEach, expect, test } from 'vitest';
import { copyOf } from '../../src/journal/read-copy.ts';
import { ROOT } from '../repo/house.ts';
import { AS_NOBODY, bareUser } from '../support/bare-user.ts';
import { writeSample } from './direct.ts';

let folder: string;
beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), 'read-copy-'));
});
afterEach(() => rmSync(folder, { recursive: true, force: true }));

test('a copy is the journal with its log, and goes when it is not needed any more', () => {
  const path = join(folder, 'bay.journal');
  writeFileSync(path, 'pages');
  writeFileSync(`${path}-wal`, 'log');
  writeFileSync(`${path}-shm`, 'index');
  const copy = copyOf(path) as NonNullable<ReturnType<typeof copyOf>>;
  expect(readdirSync(dirname(copy.path)).sort()).toEqual(['bay.journal', 'bay.journal-wal']);
  expect(readFileSync(`${copy.path}-wal`, 'utf8')).toBe('log');
  copy.remove();
  expect(existsSync(dirname(copy.path))).toBe(false);
  expect(readdirSync(folder)).toHaveLength(3);
});

test('there is no copy of what is not there', () => {
  expect(copyOf(join(folder, 'no.journal'))).toBeNull();
});

const missing = process.env.STILLWELL_ALL !== '1' && !bareUser();
test.skipIf(missing)(
  'a record in a folder that may not be written to is replayed and verified from a copy (needs root and setpriv)',
  async () => {
    const archive = join(folder, 'archive');
    const scratch = join(folder, 'scratch');
    for (const dir of [archive, scratch]) mkdirSync(dir);
    const path = join(archive, 'bay.journal');
    writeSample(path, 5, 10);
    const before = readFileSync(path);
    chmodSync(path, 0o444);
    for (const [dir, mode] of [
      [folder, 0o755],
      [archive, 0o555],
      [scratch, 0o777],
    ] as const)
      chmodSync(dir, mode);
    const said = await new Promise<string>((resolve) => {
      const command = [...AS_NOBODY.slice(1), process.execPath, join(ROOT, 'dist/src/main.js'), 'replay', path];
      const env = { ...process.env, TMPDIR: scratch };
      execFile(AS_NOBODY[0] as string, command, { env }, (_error, stdout, stderr) => resolve(stdout + stderr));
    });
    expect(said).toContain('note: the folder may not be written to, so a copy of the record is read');
    expect(said).toMatch(/seal: intact \(\d+ parts, \d+ entries\)/);
    expect(said).toMatch(/^replay: /m);
    expect(readdirSync(scratch)).toEqual([]);
    expect(readdirSync(archive)).toEqual(['bay.journal']);
    expect(readFileSync(path).equals(before)).toBe(true);
  },
);
