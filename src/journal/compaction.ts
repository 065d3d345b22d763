/**
 * Many small blocks become one packed block of up to ten seconds of a run. Contents, digests and chain values of the
 * parts stay what they were; only where the bytes lie changes.
 */
import type Database from 'better-sqlite3';
import { type BlockRow, insertBlock, partsOf } from './blocks.ts';
import { DEFLATE_CODEC, pack } from './codec.ts';
import { packMarks, same, sha256 } from './seal.ts';
import { statement } from './statements.ts';

const SPAN_US = 10_000_000;
/** A group ends here even within its ten seconds: the writer must not be busy packing for long. */
const MOST_BYTES = 1024 * 1024;
const MOST_PARTS = 256;

type Outline = Pick<BlockRow, 'last_part' | 'first_part' | 'run' | 'first_t_us' | 'last_t_us' | 'bytes'>;

/**
 * Packs the oldest full group after part `after`. A group is full when the next block would not fit in it.
 * @returns its last part, or null where no group is full.
 */
export function compactOne(db: Database.Database, after: number): number | null {
  const group = fullGroup(db, after);
  const last = group?.at(-1);
  if (group === null || last === undefined) return null;
  const rows = group.map(({ last_part }) =>
    db.prepare<[number], BlockRow>('SELECT * FROM blocks WHERE last_part = ?').get(last_part),
  );
  const merged = merge(rows.filter((row) => row !== undefined));
  // What does not match its seal is left as it is: the seal's check will name it.
  if (merged === null) return last.last_part;
  db.transaction(() => {
    db.prepare('DELETE FROM blocks WHERE last_part BETWEEN ? AND ?').run(merged.first_part, merged.last_part);
    insertBlock(db, merged);
  }).immediate();
  return last.last_part;
}

function fullGroup(db: Database.Database, after: number): Outline[] | null {
  const rows = statement<[number, number], Outline>(
    db,
    `SELECT last_part, first_part, run, first_t_us, last_t_us, bytes FROM blocks
     WHERE codec = 1 AND last_part > ? ORDER BY last_part LIMIT ?`,
  ).all(after, MOST_PARTS + 1);
  const [first] = rows;
  if (first === undefined) return null;
  let bytes = 0;
  const end = rows.findIndex((row, i) => {
    bytes += row.bytes;
    const fits = row.run === first.run && row.last_t_us - first.first_t_us <= SPAN_US && bytes <= MOST_BYTES;
    return i > 0 && !(fits && i < MOST_PARTS && row.first_part === (rows[i - 1] as Outline).last_part + 1);
  });
  return end === -1 ? null : rows.slice(0, end);
}

function merge(rows: readonly BlockRow[]): BlockRow | null {
  const [first, last] = [rows.at(0), rows.at(-1)];
  if (first === undefined || last === undefined) return null;
  const parts = intactParts(rows);
  if (parts === null) return null;
  const content = Buffer.concat(parts.map((part) => part.content));
  const packed = pack(content, DEFLATE_CODEC);
  return {
    last_part: last.last_part,
    first_part: first.first_part,
    run: first.run,
    first_seq: first.first_seq,
    last_seq: last.last_seq,
    first_t_us: rows.reduce((least, row) => Math.min(least, row.first_t_us), first.first_t_us),
    last_t_us: rows.reduce((most, row) => Math.max(most, row.last_t_us), last.last_t_us),
    entries: rows.reduce((sum, row) => sum + row.entries, 0),
    bytes: content.length,
    codec: DEFLATE_CODEC,
    stored: sha256(packed),
    parts: packMarks(parts),
    content: packed,
  };
}

function intactParts(rows: readonly BlockRow[]) {
  try {
    const parts = rows.flatMap(partsOf);
    return parts.every((part) => same(sha256(part.content), part.digest)) ? parts : null;
  } catch {
    return null;
  }
}
