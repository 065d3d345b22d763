import { execFile } from 'node:child_process';
import { existsSync, mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { promisify } from 'node:util';
import { afterEach, beforeEach, expect, test } from 'vitest';
import { takeLock } from '../../src/journal/lock.ts';
import { ROOT } from '../repo/house.ts';

let folder: string;
let path: string;
beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), 'journal-lock-'));
  path = join(folder, 'bay.journal');
});
afterEach(() => rmSync(folder, { recursive: true, force: true }));

test('the lock is refused while it is held, leaves nothing behind, and can be taken again', () => {
  for (let i = 0; i < 3; i++) {
    const lock = takeLock(path);
    expect(existsSync(`${path}-lock`)).toBe(true);
    expect(() => takeLock(path)).toThrow(expect.objectContaining({ code: 'journal-locked' }));
    lock.release();
    expect(existsSync(`${path}-lock`)).toBe(false);
  }
});

test('a lock file that a killed process left behind is taken over', () => {
  writeFileSync(`${path}-lock`, '');
  takeLock(path).release();
  expect(existsSync(`${path}-lock`)).toBe(false);
});

test('four processes that take it and let go of it 300 times each are never two inside', async () => {
  const child = join(ROOT, 'dist/tests/journal/lock-child.js');
  const all = Array.from({ length: 4 }, () => promisify(execFile)(process.execPath, [child, path, '300']));
  const told = (await Promise.all(all)).map(({ stdout }) => JSON.parse(stdout) as { held: number; refused: number });
  expect(told.map(({ held }) => held)).toEqual([300, 300, 300, 300]);
  // else they ran one after the other, and nothing was shown
  expect(told.reduce((sum, { refused }) => sum + refused, 0)).toBeGreaterThan(0);
  expect(existsSync(`${path}-lock`)).toBe(false);
});
