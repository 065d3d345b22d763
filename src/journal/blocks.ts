/** Rows of `blocks`, and the parts inside them as they were committed. */
import type Database from 'better-sqlite3';
import { unpack } from './codec.ts';
import { type PartHeader, type PartMark, unpackMarks } from './seal.ts';
import { statement } from './statements.ts';

export interface BlockRow {
  readonly last_part: number;
  readonly first_part: number;
  readonly run: number;
  readonly first_seq: number;
  readonly last_seq: number;
  readonly first_t_us: number;
  readonly last_t_us: number;
  readonly entries: number;
  /** Length of the content when unpacked. */
  readonly bytes: number;
  readonly codec: number;
  readonly stored: Uint8Array;
  readonly parts: Uint8Array;
  readonly content: Uint8Array;
}

export interface Part extends PartHeader, PartMark {
  readonly content: Uint8Array;
}

/** The block that holds the part after `part`. One short statement: no transaction stays open between two blocks. */
export function blockAfter(db: Database.Database, part: number): BlockRow | undefined {
  const next = 'SELECT * FROM blocks WHERE last_part > ? ORDER BY last_part LIMIT 1';
  return statement<[number], BlockRow>(db, next).get(part);
}

/** The block with the first entry whose sequence number is above `seq`. */
export function blockAfterSeq(db: Database.Database, seq: number): BlockRow | undefined {
  const next = 'SELECT * FROM blocks WHERE last_seq > ? ORDER BY last_seq, last_part LIMIT 1';
  return statement<[number], BlockRow>(db, next).get(seq);
}

/** The parts of a block in order. Throws where the row does not hold together. */
export function partsOf(row: BlockRow): Part[] {
  const marks = unpackMarks(new Uint8Array(row.parts));
  const bytes = marks.reduce((sum, mark) => sum + mark.bytes, 0);
  const content = unpack(row.content, row.codec, bytes);
  if (content.length !== bytes) throw new RangeError(`it unpacks to ${content.length} bytes instead of ${bytes}`);
  let at = 0;
  return marks.map((mark, i) => {
    const from = at;
    at += mark.bytes;
    return { ...mark, part: row.first_part + i, run: row.run, content: content.subarray(from, at) };
  });
}

export function insertBlock(db: Database.Database, row: BlockRow): void {
  const insert = `INSERT INTO blocks VALUES (@last_part, @first_part, @run, @first_seq, @last_seq, @first_t_us, @last_t_us,
    @entries, @bytes, @codec, @stored, @parts, @content)`;
  statement<BlockRow>(db, insert).run(row);
}
