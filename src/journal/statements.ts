/** Statements are prepared once per connection. */
import type Database from 'better-sqlite3';

const prepared = new WeakMap<Database.Database, Map<string, Database.Statement>>();

export function statement<Params extends unknown[] | object = unknown[], Row = unknown>(
  db: Database.Database,
  sql: string,
): Params extends unknown[] ? Database.Statement<Params, Row> : Database.Statement<[Params], Row> {
  let ofDb = prepared.get(db);
  if (ofDb === undefined) {
    ofDb = new Map();
    prepared.set(db, ofDb);
  }
  let found = ofDb.get(sql);
  if (found === undefined) {
    found = db.prepare(sql);
    ofDb.set(sql, found);
  }
  return found as never;
}
