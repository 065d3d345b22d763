/** System parts that some tests need. */
import { spawnSync } from 'node:child_process';
import { existsSync } from 'node:fs';
import { test } from 'vitest';

/** A test that runs where the part is there; where everything must be there (STILLWELL_ALL=1), its absence is a failure. */
export function testWith(part: string, present: boolean) {
  if (present) return (name: string, run: () => Promise<void> | void, ms?: number) => test(name, run, ms);
  if (process.env.STILLWELL_ALL !== '1') {
    return (name: string, run: () => Promise<void> | void) => test.skip(`${name} (needs ${part})`, run);
  }
  return (name: string) =>
    test(name, () => {
      throw new Error(`${part} is missing`);
    });
}

export function hasStrace(): boolean {
  const probe = spawnSync('strace', ['-f', '-o', '/dev/null', process.execPath, '-e', '0']);
  return probe.status === 0;
}

/** Whether this user may mount a tmpfs (Linux, as root, not in every container). */
export function mayMount(folder: string): boolean {
  if (process.platform !== 'linux' || !existsSync(folder)) return false;
  if (spawnSync('mount', ['-t', 'tmpfs', '-o', 'size=1m', 'tmpfs', folder]).status !== 0) return false;
  return spawnSync('umount', [folder]).status === 0;
}
