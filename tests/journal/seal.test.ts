import { createHash } from 'node:crypto';
import { join } from 'node:path';
import Database from 'better-sqlite3';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { canonicalBytes } from '../../src/journal/codec.ts';
import { chainNext, chainStart, packMarks, sha256, unpackMarks } from '../../src/journal/seal.ts';
import { verifySeal } from '../../src/journal/verify.ts';
import { direct, writeSample } from './direct.ts';
import { seeded } from './scenario.ts';
import { temporaryFolder } from './watched.ts';

const seed = Number(process.env.SEED ?? 77);
const folder = temporaryFolder();
let db: Database.Database;

beforeAll(() => {
  const path = join(folder.path, 'sample.journal');
  writeSample(path, seed, 60);
  db = new Database(path);
});
afterAll(() => {
  db.close();
  folder.remove();
});

/** What the seal says about the file with a change in it; the change is taken back. */
function faultAfter(change: () => void): string | null {
  db.exec('BEGIN');
  try {
    change();
    return verifySeal(db).firstFault;
  } finally {
    db.exec('ROLLBACK');
  }
}

describe('digest and chain', () => {
  test('are SHA-256 as written down', () => {
    const hash = (...pieces: Uint8Array[]) =>
      new Uint8Array(createHash('sha256').update(Buffer.concat(pieces)).digest());
    const digest = sha256(new Uint8Array([1, 2, 3]));
    expect(Buffer.from(digest).toString('hex')).toBe(
      '039058c6f2c0cb492c533b0a4d14ef77cc0f78abccced5287d84a1a2011cfb81',
    );
    const first = chainStart('an id');
    expect(first).toEqual(hash(Buffer.from('an id')));
    const header = canonicalBytes({ part: 1, run: 2, firstSeq: 3, lastSeq: 4 });
    expect(chainNext(first, { part: 1, run: 2, firstSeq: 3, lastSeq: 4 }, digest)).toEqual(hash(first, header, digest));
  });

  test('the list of parts is read back only from its one encoding', () => {
    const marks = [{ bytes: 1, entries: 2, firstSeq: 3, lastSeq: 4, digest: sha256('a'), chain: sha256('b') }];
    const packed = packMarks(marks);
    expect(unpackMarks(packed)).toEqual(marks);
    for (let at = 0; at < 8; at += 1) {
      const changed = packed.map((byte, i) => (i === at ? byte ^ 0xff : byte));
      let back: unknown = null;
      try {
        back = unpackMarks(changed);
      } catch {
        continue;
      }
      expect(back).not.toEqual(marks);
    }
  });
});

describe('the check of the seal', () => {
  test('finds an untouched journal intact, and tells how far it is', () => {
    const progress: [number, number][] = [];
    const report = verifySeal(db, (parts, of) => progress.push([parts, of]));
    expect(report).toEqual({ ok: true, parts: 120, entries: 1200 + 2 * 3 + 2 * 9 * 3, firstFault: null });
    expect(progress.at(-1)).toEqual([120, 120]);
    const codecs = db.prepare('SELECT DISTINCT codec FROM blocks ORDER BY codec').pluck().all();
    expect(codecs).toEqual([1, 2]);
  });

  test.each([
    ['blocks', 'content', 150],
    ['blocks', 'parts', 150],
    ['blocks', 'stored', 40],
    ['outcomes', 'body', 100],
    ['outcomes', 'kind', 30],
    ['outcomes', 'action_id', 30],
    ['runs', 'software', 10],
    ['runs', 'bench', 10],
    ['meta', 'value', 40],
  ])('finds one changed byte anywhere in %s.%s (%i places)', (table, column, places) => {
    const random = seeded(seed + column.length);
    const key = { blocks: 'last_part', outcomes: 'event', runs: 'run', meta: 'key' }[table] as string;
    const type = table === 'blocks' ? 'BLOB' : 'TEXT';
    const rows = db
      .prepare<[], { key: unknown; bytes: Buffer }>(
        `SELECT ${key} AS key, CAST(${column} AS BLOB) AS bytes FROM ${table} WHERE ${column} IS NOT NULL`,
      )
      .all();
    const update = db.prepare(`UPDATE ${table} SET ${column} = CAST(? AS ${type}) WHERE ${key} = ?`);
    for (let i = 0; i < places; i += 1) {
      const row = rows[Math.floor(random() * rows.length)] as { key: unknown; bytes: Buffer };
      // The last byte of every tenth: in packed content some of its bits are only padding.
      const at = i % 10 === 0 ? row.bytes.length - 1 : Math.floor(random() * row.bytes.length);
      const bit = 1 << Math.floor(random() * 8);
      const changed = Buffer.from(row.bytes);
      changed[at] = (changed[at] as number) ^ bit;
      const fault = faultAfter(() => update.run(changed, row.key));
      expect(fault, `seed ${seed}: ${table}.${column} of ${row.key}, byte ${at}, bit ${bit}`).not.toBeNull();
    }
  });

  test.each([
    [
      'blocks',
      [
        'last_part',
        'first_part',
        'run',
        'first_seq',
        'last_seq',
        'first_t_us',
        'last_t_us',
        'entries',
        'bytes',
        'codec',
      ],
    ],
    ['outcomes', ['event', 'run', 'seq', 't_us', 'utc_ms']],
    ['runs', ['run', 'seq', 'utc_ms', 'schema', 'algorithm']],
  ])('finds a changed number in any column of %s', (table, columns) => {
    const random = seeded(seed);
    const ids = db.prepare<[], number>(`SELECT rowid FROM ${table} ORDER BY rowid`).pluck().all();
    for (const column of columns) {
      for (let bit = 0; bit < 50; bit += 7) {
        const id = ids[Math.floor(random() * ids.length)] as number;
        // | and & of 64 bits: JavaScript's own would cut to 32.
        const flip = `UPDATE ${table} SET ${column} = (${column} | (1 << ${bit})) - (${column} & (1 << ${bit})) WHERE rowid = ?`;
        const fault = faultAfter(() => {
          try {
            db.prepare(flip).run(id);
          } catch {
            // The number of another row: make it one that is free.
            db.prepare(`UPDATE ${table} SET ${column} = ${column} + 100000 WHERE rowid = ?`).run(id);
          }
        });
        expect(fault, `seed ${seed}: ${table}.${column} of row ${id}, bit ${bit}`).not.toBeNull();
      }
    }
  });

  test('finds rows taken away, put in, or exchanged, and says which', () => {
    const fault = (sql: string) => faultAfter(() => db.exec(sql));
    expect(fault('DELETE FROM blocks WHERE last_part = 60')).toMatch(/part \d+ is missing|entries|outcome/);
    expect(fault('DELETE FROM blocks WHERE last_part = (SELECT max(last_part) FROM blocks)')).toBe(
      'part 119 is not the end of the journal',
    );
    expect(fault('DELETE FROM outcomes WHERE event = 5')).toBe('outcome of event 5: it is missing');
    expect(
      fault("INSERT INTO outcomes SELECT 999, run, seq, t_us, utc_ms, kind, 'new', body FROM outcomes WHERE event = 2"),
    ).toBe('there are 39 outcomes, the blocks hold 38');
    expect(
      fault('INSERT INTO runs SELECT 9, seq, utc_ms, schema, algorithm, software, bench FROM runs WHERE run = 1'),
    ).toBe('there are rows for 3 runs, the blocks hold 2');
    expect(fault('UPDATE outcomes SET body = replace(body, \'"used":18\', \'"used":19\') WHERE event = 3')).toBe(
      'outcome of event 3: body is not what its block says',
    );
    expect(fault('UPDATE outcomes SET action_id = NULL WHERE event = 2')).toBe(
      'outcome of event 2: action_id is not what its block says',
    );
    expect(
      fault(`UPDATE blocks SET content = (SELECT content FROM blocks AS b WHERE b.last_part = 119),
        stored = (SELECT stored FROM blocks AS b WHERE b.last_part = 119) WHERE last_part = 120`),
    ).toMatch(/part(s 120 to)? 120/);
  });

  test('finds a content that was rewritten together with its own digests', () => {
    const row = db.prepare('SELECT content, parts FROM blocks WHERE last_part = 120').get() as {
      content: Buffer;
      parts: Buffer;
    };
    const content = Buffer.from(row.content);
    content[20] = (content[20] as number) ^ 1;
    const [mark] = unpackMarks(new Uint8Array(row.parts));
    const digest = sha256(content);
    const parts = packMarks([{ ...(mark as NonNullable<typeof mark>), digest }]);
    const update = db.prepare('UPDATE blocks SET content = ?, stored = ?, parts = ? WHERE last_part = 120');
    expect(faultAfter(() => update.run(content, digest, parts))).toMatch(/part 120 .*(chain|entries|read)/);
  });

  test('does not mind what is outside it', () => {
    const fault = faultAfter(() => {
      db.exec("DELETE FROM envelope; INSERT INTO checkpoints VALUES (1, 1, 1, 'run-start', x'00', x'00')");
    });
    expect(fault).toBeNull();
  });

  test('goes through while the journal is being written and packed', () => {
    const path = join(folder.path, 'live.journal');
    const d = direct(path, seed);
    d.append(d.scenario.startRun());
    d.writer.flush();
    const work = () => {
      d.append(d.scenario.frames(10, 100_000));
      d.append(d.scenario.reading());
      d.writer.flush();
    };
    for (let i = 0; i < 40; i += 1) work();
    const beside = new Database(path, { readonly: true });
    let left = 100;
    const report = verifySeal(beside, () => {
      if (left-- > 0) work();
    });
    expect(report).toMatchObject({ ok: true, parts: 141, firstFault: null });
    beside.close();
    d.close();
  });
});

test('an action id that comes twice stays with its first event, and the seal knows', () => {
  const path = join(folder.path, 'twice.journal');
  const d = direct(path, seed);
  d.append(d.scenario.startRun());
  d.append(d.scenario.reading('same'));
  d.append(d.scenario.reading('same'));
  d.close();
  const file = new Database(path);
  expect(file.prepare("SELECT event, action_id FROM outcomes WHERE kind = 'action'").all()).toEqual([
    { event: 2, action_id: 'same' },
    { event: 4, action_id: null },
  ]);
  expect(verifySeal(file).firstFault).toBeNull();
  file.exec(
    "UPDATE outcomes SET action_id = NULL WHERE event = 2; UPDATE outcomes SET action_id = 'same' WHERE event = 4",
  );
  expect(verifySeal(file).firstFault).toBe('outcome of event 2: action_id is not what its block says');
  file.close();
});
