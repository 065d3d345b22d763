/** Two answers about a record: the chain, and the recomputing. One changed byte is found. */
import { copyFileSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import Database from 'better-sqlite3';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { verify } from '../../src/commands/verify.ts';
import { StillwellError } from '../../src/errors.ts';
import { readJournal } from '../../src/journal/read-file.ts';
import { uniforms } from '../support/draws.ts';
import { RecordedBench, writeJobs } from './recorded-bench.ts';

const dir = mkdtempSync(join(tmpdir(), 'stillwell-verify-'));
const file = join(dir, 'press.journal');
const seed = Number(process.env.STILLWELL_SEED ?? 1867);
const PLACES = Number(process.env.STILLWELL_PLACES ?? 400);
beforeAll(() => {
  process.stdout.write(`seed ${seed}\n`);
  writeJobs(file);
});
afterAll(() => rmSync(dir, { recursive: true, force: true }));

function told(path: string): { code: number; text: string } {
  let text = '';
  const code = verify(path, {}, { write: (words) => (text += words) }, null);
  return { code, text };
}

/** Everything that the chain covers, as it reads; null where it does not. */
function covered(path: string): string | null {
  try {
    const db = new Database(path, { readonly: true });
    try {
      const rows = (sql: string) => JSON.stringify(db.prepare(sql).raw().all());
      return [
        rows("SELECT value FROM meta WHERE key = 'journal-id'"),
        rows('SELECT * FROM blocks ORDER BY last_part'),
        rows('SELECT * FROM runs ORDER BY run'),
        rows('SELECT * FROM outcomes ORDER BY event'),
      ].join('\n');
    } finally {
      db.close();
    }
  } catch {
    return null;
  }
}

test('both answers are yes for a record as it was written', () => {
  const { code, text } = told(file);
  expect(code).toBe(0);
  expect(text).toMatch(
    /^Chain intact: yes \(\d+ parts, \d+ entries\)\nRecomputed equal from the frames: yes \(4 readings and \d+ other outcomes from \d+ inputs\)\n$/,
  );
});

test(`one byte changed anywhere in the file (${PLACES} places): found, or not a sign of the record reads otherwise`, {
  timeout: 3_600_000,
}, () => {
  const uniform = uniforms(seed);
  const bytes = readFileSync(file);
  const whole = covered(file);
  const edited = join(dir, 'edited.journal');
  let found = 0;
  let harmless = 0;
  for (let i = 0; i < PLACES; i++) {
    const at = Math.floor(uniform() * bytes.length);
    const changed = Buffer.from(bytes);
    changed[at] = ((changed[at] as number) + 1 + Math.floor(uniform() * 255)) & 0xff;
    writeFileSync(edited, changed);
    if (chainHolds(edited)) {
      expect(covered(edited), `seed ${seed}: byte ${at} is not found`).toBe(whole);
      harmless++;
    } else found++;
  }
  process.stdout.write(`${PLACES} places: ${found} found, ${harmless} in what says nothing (free space, mostly)\n`);
  // About half of so small a file is free space.
  expect(found).toBeGreaterThan(PLACES / 3);
});

function chainHolds(path: string): boolean {
  try {
    const journal = readJournal(path);
    try {
      return journal.verifySeal().ok;
    } finally {
      journal.close();
    }
  } catch (error) {
    if (!(error instanceof StillwellError)) throw error;
    return false;
  }
}

describe('a forged record whose chain was made anew', () => {
  /** What an owner of the software can do: the same record, with one figure of one reading another one. */
  test('passes the chain, and the recomputing names the reading', () => {
    const path = join(dir, 'forged.journal');
    const bench = new RecordedBench(path);
    bench.startRun(Date.UTC(2031, 2, 4, 9));
    bench.act({ type: 'start-job', label: 'forged' });
    bench.talk(
      25,
      () => 50,
      () => 60,
    );
    bench.forgeNextReading(0.4);
    bench.act({ type: 'take-reading' });
    bench.act({ type: 'close-job' });
    bench.stop();
    const { code, text } = told(path);
    expect(text).toMatch(/^Chain intact: yes/);
    expect(text).toMatch(/Recomputed equal from the frames: NO\. At input \d+ of run 1 the record says reading \d+ is/);
    expect(code).toBe(4);
  });
});

test('an outcome changed in its table: the chain says so, the recomputing goes by the frames', () => {
  const path = join(dir, 'table.journal');
  copyFileSync(file, path);
  const db = new Database(path);
  db.prepare("UPDATE outcomes SET body = replace(body, '\"levelMm\":6', '\"levelMm\":5') WHERE kind = 'reading'").run();
  db.close();
  const { code, text } = told(path);
  expect(code).toBe(3);
  expect(text).toMatch(/^Chain intact: NO\. After [\s\S]*outcome of event \d+[\s\S]*frames: yes/);
});
