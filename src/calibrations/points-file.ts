/** Points of a calibration or a strapping from a CSV file: a header of known names, plain numbers below. */
import { readFileSync } from 'node:fs';
import { parse } from 'csv-parse/sync';
import { StillwellError } from '../errors.ts';

const NUMBER = /^[+-]?(?:\d+\.?\d*|\.\d+)(?:e[+-]?\d{1,3})?$/i;
const MOST_ROWS = 1000;

export type PointRow<Needed extends string, Optional extends string> = Readonly<
  Record<Needed, number> & Record<Optional, number | null>
>;

/** Rows with all of `needed` in them; an optional cell that is empty or has no column is null. */
export function readPoints<Needed extends string, Optional extends string>(
  path: string,
  needed: readonly Needed[],
  optional: readonly Optional[],
): PointRow<Needed, Optional>[] {
  const fault = (why: string) => new StillwellError('points-unreadable', path, why);
  let rows: string[][];
  try {
    rows = parse(readFileSync(path, 'utf8'), {
      bom: true,
      trim: true,
      comment: '#',
      skip_empty_lines: true,
      relax_column_count: true,
    });
  } catch (error) {
    throw fault((error as Error).message);
  }
  const [header = [], ...body] = rows;
  const known: readonly string[] = [...needed, ...optional];
  const missing = needed.filter((name) => !header.includes(name));
  const odd = header.filter((name) => !known.includes(name));
  if (missing.length > 0)
    throw fault(`no column ${missing.join(', ')}; a header line with ${known.join(', ')} is expected`);
  if (odd.length > 0) throw fault(`column ${odd.join(', ')} is not known; known are ${known.join(', ')}`);
  if (new Set(header).size !== header.length) throw fault('a column stands there twice');
  if (body.length === 0) throw fault('there is no row below the header');
  if (body.length > MOST_ROWS) throw fault(`more than ${MOST_ROWS} rows`);
  return body.map((cells, index) => {
    const row: Record<string, number | null> = Object.fromEntries(known.map((name) => [name, null]));
    if (cells.length > header.length) throw fault(`row ${index + 1} has more cells than the header`);
    for (const [at, name] of header.entries()) {
      const cell = cells[at] ?? '';
      if (cell !== '' && !NUMBER.test(cell)) throw fault(`row ${index + 1}: "${cell.slice(0, 40)}" is no number`);
      row[name] = cell === '' ? null : Number(cell);
      if (cell !== '' && !Number.isFinite(row[name]))
        throw fault(`row ${index + 1}: "${cell.slice(0, 40)}" is too large`);
      if ((row[name] ?? 0) < 0 && name.startsWith('u-')) throw fault(`row ${index + 1}: ${name} is below 0`);
    }
    const empty = needed.find((name) => row[name] === null);
    if (empty !== undefined) throw fault(`row ${index + 1}: ${empty} is empty`);
    return row as PointRow<Needed, Optional>;
  });
}
