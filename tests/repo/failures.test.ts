/** Each row of the catalogue of failures on a serial line has a test, or a line that says why it has none. */
import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { expect, test } from 'vitest';
import { ROOT, sourceFiles } from './house.ts';

const ROWS = Array.from({ length: 20 }, (_, i) => `S${i + 1}`);

test('S1 to S20 stand at the beginning of a test title, or in docs/troubleshooting.md', () => {
  const titles = sourceFiles()
    .filter(({ path }) => path.endsWith('.test.ts') && path !== 'tests/repo/failures.test.ts')
    .flatMap(({ text }) => [...text.matchAll(/['"`](S\d+(?:, S\d+)*): |: '(S\d+)',/g)])
    .flatMap(([, title, inTable]) => (title ?? inTable ?? '').split(', '));
  const docs = readFileSync(join(ROOT, 'docs/troubleshooting.md'), 'utf8');
  const told = [...docs.matchAll(/^\| (S\d+) +\|/gm)].map(([, row]) => row as string);
  expect(ROWS.filter((row) => !titles.includes(row) && !told.includes(row))).toEqual([]);
  expect([...new Set([...titles, ...told])].filter((row) => !ROWS.includes(row))).toEqual([]);
});
