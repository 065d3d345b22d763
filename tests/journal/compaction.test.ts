import { join } from 'node:path';
import Database from 'better-sqlite3';
import { afterEach, beforeEach, expect, test } from 'vitest';
import { blockAfter, type Part, partsOf } from '../../src/journal/blocks.ts';
import { compactOne } from '../../src/journal/compaction.ts';
import { readJournal } from '../../src/journal/read-file.ts';
import { verifySeal } from '../../src/journal/verify.ts';
import { direct } from './direct.ts';
import { temporaryFolder } from './watched.ts';

let folder: ReturnType<typeof temporaryFolder>;
let path: string;
beforeEach(() => {
  folder = temporaryFolder();
  path = join(folder.path, 'bay.journal');
});
afterEach(() => folder.remove());

/** A run of `parts` parts of 20 frames in 0.25 s, without any packing. */
function writeLoose(runs: number, parts: number): void {
  for (let run = 0; run < runs; run += 1) {
    const d = direct(path, run);
    d.append(d.scenario.startRun(d.writer.opened()));
    d.store.compact = () => false;
    for (let i = 0; i < parts; i += 1) {
      d.append(d.scenario.frames(20, 12_500));
      if (i % 10 === 0) d.append(d.scenario.reading());
      d.writer.flush();
    }
    d.close();
  }
}

function allParts(db: Database.Database): Part[] {
  const parts: Part[] = [];
  for (let row = blockAfter(db, 0); row !== undefined; row = blockAfter(db, row.last_part)) parts.push(...partsOf(row));
  return parts;
}

function packAll(db: Database.Database): number {
  let after: number | null = 0;
  let groups = 0;
  while (after !== null) {
    after = compactOne(db, after);
    if (after !== null) groups += 1;
  }
  return groups;
}

test('packing leaves every part, digest, chain value and entry as it was', () => {
  writeLoose(2, 100);
  const file = readJournal(path);
  const before = [...file.entries()];
  file.close();
  const db = new Database(path);
  const partsBefore = allParts(db);
  const sizeBefore = db.prepare('SELECT sum(length(content)) FROM blocks').pluck().get() as number;
  expect(packAll(db)).toBe(5);
  expect(allParts(db)).toEqual(partsBefore);
  expect(verifySeal(db)).toMatchObject({ ok: true, parts: 200 });
  expect(db.prepare('SELECT sum(length(content)) FROM blocks').pluck().get()).toBeLessThan(sizeBefore / 2);
  db.close();
  const again = readJournal(path);
  expect([...again.entries()]).toStrictEqual(before);
  again.close();
});

test('a packed block is of one run and spans ten seconds at most; an unfinished group stays loose', () => {
  writeLoose(2, 100);
  const db = new Database(path);
  packAll(db);
  const rows = db
    .prepare('SELECT run, codec, last_t_us - first_t_us AS span, last_part - first_part + 1 AS parts FROM blocks')
    .all();
  const packed = (rows as { run: number; codec: number; span: number; parts: number }[]).filter(
    ({ codec }) => codec === 2,
  );
  expect(packed.map(({ run }) => run)).toEqual([1, 1, 1, 2, 2]);
  for (const { span } of packed) expect(span).toBeLessThanOrEqual(10_000_000);
  expect(packed[0]?.span).toBeGreaterThan(9_700_000);
  // The newest 25 s of the second run hold two full groups; the rest waits.
  expect(rows.length - packed.length).toBe(200 - packed.reduce((sum, { parts }) => sum + parts, 0));
  expect(rows.length - packed.length).toBeGreaterThan(10);
  db.close();
});

test('a part that does not match its digest is not packed, what comes after it is', () => {
  writeLoose(1, 130);
  const db = new Database(path);
  db.prepare("UPDATE blocks SET content = CAST(x'00' || substr(content, 2) AS BLOB) WHERE last_part = 5").run();
  packAll(db);
  const codecs = db.prepare('SELECT codec FROM blocks WHERE last_part IN (5, 6)').pluck().all();
  expect(codecs).toEqual([1, 1]);
  expect(db.prepare('SELECT count(*) FROM blocks WHERE codec = 2').pluck().get()).toBe(2);
  expect(verifySeal(db).firstFault).toMatch(/parts 5 to 5/);
  db.close();
});

test('one who reads entry by entry while they are packed gets each exactly once', () => {
  writeLoose(1, 100);
  const db = new Database(path);
  const file = readJournal(path);
  const expected = [...file.entries()];
  const seen = [];
  let after: number | null = 0;
  for (const entry of file.entries()) {
    seen.push(entry);
    if (seen.length % 37 === 0 && after !== null) after = compactOne(db, after);
  }
  expect(after).toBeNull();
  expect(seen).toStrictEqual(expected);
  file.close();
  db.close();
});

test('the writer packs by itself as time goes on', () => {
  const d = direct(path);
  d.append(d.scenario.startRun());
  for (let i = 0; i < 200; i += 1) {
    d.append(d.scenario.frames(20, 12_500));
    d.writer.flush();
  }
  d.close();
  const db = new Database(path);
  expect(db.prepare('SELECT count(*) FROM blocks WHERE codec = 2').pluck().get()).toBe(4);
  expect(verifySeal(db).ok).toBe(true);
  db.close();
});
