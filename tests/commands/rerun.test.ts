import { existsSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { Writable } from 'node:stream';
import { afterAll, expect, test } from 'vitest';
import { rerunCsv } from '../../src/commands/rerun.ts';
import { ROOT } from '../repo/house.ts';

const dir = mkdtempSync(join(tmpdir(), 'stillwell-rerun-'));
afterAll(() => rmSync(dir, { recursive: true, force: true }));
const [, yaml] = /```yaml\n([\s\S]*?)```/.exec(readFileSync(join(ROOT, 'README.md'), 'utf8')) ?? [];
const bench = join(dir, 'bench.yaml');
writeFileSync(bench, yaml ?? '');
const csv = join(dir, 'log.csv');
const rows = Array.from({ length: 200 }, (_, i) => `${i / 5},${i % 2 === 0 ? '50.0' : ''},62.${i % 3}`);
const text = ['time,temperature,level', ...rows].join('\n');
writeFileSync(csv, text);

function said() {
  let words = '';
  const out = new Writable({
    write(chunk, _encoding, done) {
      words += String(chunk);
      done();
    },
  });
  return { out, words: () => words };
}

test('writes outcomes as JSON lines, and says how many', async () => {
  const { out, words } = said();
  const to = join(dir, 'out.jsonl');
  expect(await rerunCsv(csv, { bench, out: to }, out)).toBe(0);
  const lines = readFileSync(to, 'utf8')
    .trim()
    .split('\n')
    .map((line) => JSON.parse(line));
  expect(lines[0]).toMatchObject({ ready: true, why: [] });
  expect(words()).toContain('200 rows');
  expect(existsSync(`${to}.part`)).toBe(false);
});

test('speaks of one row, and of what it assumed', async () => {
  const { out, words } = said();
  const single = join(dir, 'single.csv');
  writeFileSync(single, 'time,temperature,level\n2031-05-06 08:00,50,62');
  expect(await rerunCsv(single, { bench, out: join(dir, 'single.jsonl') }, out)).toBe(0);
  expect(words()).toMatch(
    /^note: the times carry no zone: they are taken as UTC\n1 row: 0 changes of ready, 0 readings\n$/,
  );
});

test.each([
  ['the data themselves', csv],
  ['the bench file', bench],
  ['a folder', dir],
  ['a folder that is missing', join(dir, 'no', 'such')],
])('does not write over %s', async (_case, to) => {
  const before = readFileSync(bench, 'utf8');
  await expect(rerunCsv(csv, { bench, out: to }, said().out)).rejects.toMatchObject({ code: 'file-unwritable' });
  expect(readFileSync(csv, 'utf8')).toBe(text);
  expect(readFileSync(bench, 'utf8')).toBe(before);
});

test('a log that cannot be used leaves an earlier answer as it was', async () => {
  const to = join(dir, 'kept.jsonl');
  writeFileSync(to, 'earlier');
  const bad = join(dir, 'bad.csv');
  writeFileSync(bad, 'time,temperature,level\nnoon,20,60');
  await expect(rerunCsv(bad, { bench, out: to }, said().out)).rejects.toMatchObject({ code: 'csv-unreadable' });
  expect(readFileSync(to, 'utf8')).toBe('earlier');
});
