/** Each row of the catalogue of failures on a serial line, with Modbus and over Bluetooth has a test, or a line that says why it has none. */
import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { expect, test } from 'vitest';
import { ROOT, sourceFiles } from './house.ts';

const rows = (letter: string, count: number) => Array.from({ length: count }, (_, i) => `${letter}${i + 1}`);
const ROWS = [...rows('S', 20), ...rows('M', 6), ...rows('B', 10)];

test('S1 to S20, M1 to M6 and B1 to B10 stand at the beginning of a test title, or in docs/troubleshooting.md', () => {
  const titles = sourceFiles()
    .filter(({ path }) => path.endsWith('.test.ts') && path !== 'tests/repo/failures.test.ts')
    .flatMap(({ text }) => [...text.matchAll(/['"`]([SMB]\d+(?:, [SMB]\d+)*): |: '([SMB]\d+)',/g)])
    .flatMap(([, title, inTable]) => (title ?? inTable ?? '').split(', '));
  const docs = readFileSync(join(ROOT, 'docs/troubleshooting.md'), 'utf8');
  const told = [...docs.matchAll(/^\| ([SMB]\d+) +\|/gm)].map(([, row]) => row as string);
  expect(ROWS.filter((row) => !titles.includes(row) && !told.includes(row))).toEqual([]);
  expect([...new Set([...titles, ...told])].filter((row) => !ROWS.includes(row))).toEqual([]);
});
