/** One kept journal of every algorithm version: when mathematics changes without a new version, this fails. */
import { copyFileSync, mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import Database from 'better-sqlite3';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { drivers } from '../../drivers/index.ts';
import { ALGORITHM_VERSION } from '../../src/core/version.ts';
import { readJournal } from '../../src/journal/read-file.ts';
import { compareEntries } from '../../src/replay/compare.ts';
import { ROOT } from '../repo/house.ts';
import { stillwell } from '../support/cli.ts';

const dir = mkdtempSync(join(tmpdir(), 'stillwell-golden-'));
const file = join(dir, 'golden.journal');
beforeAll(() => copyFileSync(join(ROOT, 'tests/fixtures/golden.journal'), file));
afterAll(() => rmSync(dir, { recursive: true, force: true }));

test('the kept journal replays to its outcomes (else: raise ALGORITHM_VERSION and run npm run golden)', () => {
  const journal = readJournal(file);
  const outcomes = [...journal.entries()].flatMap((entry) => (entry.kind === 'outcome' ? [entry.outcome] : []));
  expect(new Set(outcomes.map(({ algorithm }) => algorithm))).toEqual(new Set([ALGORITHM_VERSION]));
  const comparison = compareEntries(journal.entries(), drivers);
  expect(comparison).toMatchObject({ difference: null, runs: 1, remarks: [] });
  expect(comparison.compared).toBe(outcomes.length);
  const kinds = outcomes.map(({ kind }) => kind);
  expect(kinds).toEqual(expect.arrayContaining(['ready', 'reading', 'action']));
  expect(journal.verifySeal()).toMatchObject({ ok: true });
  journal.close();
});

test.each([
  ['first', 1, 2],
  ['second', 2, 5],
])(
  'a record of the %s schema opens, its seal is intact, and its replay says what is different',
  (_, schema, algorithm) => {
    const old = join(dir, `schema-${schema}.journal`);
    copyFileSync(join(ROOT, `tests/fixtures/schema-${schema}.journal`), old);
    const journal = readJournal(old);
    expect(journal.verifySeal()).toMatchObject({ ok: true });
    const { inputs, remarks } = compareEntries(journal.entries(), drivers);
    expect(inputs).toBeGreaterThan(5);
    expect(remarks).toContainEqual(`run 1 was made with algorithm ${algorithm}, this is ${ALGORITHM_VERSION}`);
    journal.close();
  },
);

describe('on the command line', () => {
  test('equal: exit code 0, and both answers', async () => {
    const replay = stillwell('replay', file);
    expect(await replay.ended, replay.output()).toBe(0);
    expect(replay.output()).toMatch(
      /^seal: intact \(\d+ parts, \d+ entries\)\nreplay: equal: \d+ outcomes from \d+ inputs in 1 run\n$/,
    );
  });

  test('an outcome changed in the table only: the seal tells, the replay still agrees', async () => {
    const changed = join(dir, 'changed.journal');
    copyFileSync(file, changed);
    const db = new Database(changed);
    db.prepare(
      "UPDATE outcomes SET body = replace(body, '\"levelMm\":5', '\"levelMm\":7') WHERE kind = 'reading'",
    ).run();
    db.close();
    const replay = stillwell('replay', changed);
    expect(await replay.ended, replay.output()).toBe(3);
    expect(replay.output()).toMatch(/seal: BROKEN[\s\S]*replay: equal/);
  });

  test('nothing to compare is a failure of its own', async () => {
    const empty = join(dir, 'none.journal');
    const replay = stillwell('replay', empty);
    expect(await replay.ended).toBe(1);
    expect(replay.output()).toContain('journal-unreachable');
  });
});
