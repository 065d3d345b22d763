/** What leaves the house for other programs, read back by programs of others. */
import { execFileSync, spawn } from 'node:child_process';
import { once } from 'node:events';
import { copyFileSync, existsSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { parse } from 'csv-parse/sync';
import fc from 'fast-check';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { type ExportOptions, exportRecord } from '../../src/commands/export.ts';
import type { Sample } from '../../src/core/events.ts';
import { readJournal } from '../../src/journal/read-file.ts';
import { csvRecord } from '../../src/report/csv.ts';
import { senmlName, senmlText, shifted } from '../../src/report/senml.ts';
import { isoUtc } from '../../src/report/times.ts';
import { SENML_EXAMPLES } from '../reference/senml.ts';
import { ROOT } from '../repo/house.ts';
import { stillwell } from '../support/cli.ts';
import { OFFICE, WITHOUT_OFFICE } from '../support/parts.ts';
import { collector } from './collector.ts';
import { writeLong } from './long-record.ts';
import { BEGAN_UTC_MS, writeJobs } from './recorded-bench.ts';
import { resolvePack } from './senml-resolve.ts';

const dir = mkdtempSync(join(tmpdir(), 'stillwell-export-'));
const file = join(dir, 'press.journal');
beforeAll(() => writeJobs(file));
afterAll(() => rmSync(dir, { recursive: true, force: true }));

async function exported(options: ExportOptions): Promise<{ text: string; said: string; code: number }> {
  const [out, say] = [collector(), collector()];
  const code = await exportRecord(file, options, out.stream, say.stream, null);
  return { text: out.text(), said: say.text(), code };
}

describe('CSV', () => {
  test('any cells come back through another parser; text that begins like a formula has an apostrophe before it', () => {
    const cell = fc.oneof(fc.string({ unit: 'binary' }), fc.double({ noNaN: true, noDefaultInfinity: true }));
    fc.assert(
      fc.property(fc.array(fc.array(cell, { minLength: 2, maxLength: 5 }), { minLength: 1, maxLength: 4 }), (rows) => {
        const text = rows.map((cells) => csvRecord(cells)).join('');
        const back = parse(text, { relax_column_count: true, record_delimiter: '\r\n' }) as string[][];
        expect(back).toEqual(
          rows.map((cells) =>
            cells.map((one) => {
              if (typeof one === 'number') return String(one);
              const number = /^[+-]?(\d+(\.\d*)?|\.\d+)([eE][+-]?\d+)?$/.test(one);
              return !number && /^[=+\-@\t\r\n＝＋－＠]/.test(one) ? `'${one}` : one;
            }),
          ),
        );
      }),
    );
  });

  test.each([
    ['=1+1', "'=1+1\r\n"],
    ['-3.2', '-3.2\r\n'],
    [-3.2, '-3.2\r\n'],
    ['+4', '+4\r\n'],
    ['-5 mm', "'-5 mm\r\n"],
    ['@x', "'@x\r\n"],
    ['\t=1', "'\t=1\r\n"],
    ['a "b", c', '"a ""b"", c"\r\n'],
    [null, '\r\n'],
    [-1e-7, '-1e-7\r\n'],
  ])('%j is written as %j', (cell, text) => {
    expect(csvRecord([cell])).toBe(text);
  });

  test('the samples are those of the record, to the last bit', async () => {
    const { text, code } = await exported({ as: 'csv', what: 'samples' });
    expect(code).toBe(0);
    expect(text.replaceAll('\r\n', '')).not.toMatch(/[\r\n]/);
    const rows = parse(text, { columns: true }) as Record<keyof Sample | 'utc', string>[];
    const lines = (await exported({ as: 'jsonl', what: 'samples' })).text
      .trim()
      .split('\n')
      .map((line) => JSON.parse(line));
    expect(rows.length).toBe(lines.length);
    expect(rows.map(({ value, utc }) => [Number(value), utc])).toEqual(lines.map(({ value, utc }) => [value, utc]));
    // The thermometer says 0.01 °C steps and is not corrected; the first line of it is at the start.
    expect(rows[0]).toMatchObject({ utc: '2031-03-04T09:00:00.000000Z', channel: 'temperature', unit: 'Cel' });
    expect(new Set(rows.map(({ quality }) => quality))).toEqual(new Set(['good', 'suspect']));
  });

  test('of one job only what is in it, and of the channels that are named', async () => {
    const { text } = await exported({ as: 'csv', what: 'samples', job: 2, channel: ['level'] });
    const rows = parse(text, { columns: true }) as Record<string, string>[];
    expect(rows.length).toBe(10);
    expect(new Set(rows.map(({ channel }) => channel))).toEqual(new Set(['level']));
    await expect(exported({ as: 'csv', what: 'samples', job: 9 })).rejects.toThrow(/no job 9; its jobs are 1, 2/);
    await expect(exported({ as: 'csv', what: 'samples', channel: ['levle'] })).rejects.toThrow(/no channel levle/);
  });

  test.skipIf(OFFICE === null)(
    `LibreOffice reads the same cells and computes none of them${WITHOUT_OFFICE}`,
    { timeout: 120_000 },
    () => {
      const csv = join(dir, 'cells.csv');
      const cells = ['=1+1', '-3.25', '+cmd|x', 'a "b", c', '12.5', 'two\nlines'];
      writeFileSync(csv, csvRecord(['n', ...cells.map((_, i) => `c${i}`)]) + csvRecord([1, ...cells]));
      execFileSync(OFFICE as string, [
        ...[`-env:UserInstallation=file://${join(dir, 'office')}`, '--headless', '--convert-to', 'fods'],
        ...['--outdir', dir, '--infilter=CSV:44,34,76,1', csv],
      ]);
      const sheet = readFileSync(join(dir, 'cells.fods'), 'utf8');
      expect(sheet).not.toContain('table:formula');
      expect(sheet).toMatch(/office:value="-3.25"/);
      expect(sheet).toContain('=1+1');
    },
  );
});

describe('SenML', () => {
  test.each(SENML_EXAMPLES)('$source: resolved as published, and the same after our writer', ({ pack, resolved }) => {
    expect(resolvePack(pack)).toEqual(resolved.map((one) => ({ ...one })));
    const dated = resolved.filter(({ t }) => Number(t) > 0);
    const values = dated.map(({ n, u, v, t }) => ({
      ...{ name: String(n), unit: String(u), value: Number(v), utcMs: Number(t) * 1000 },
    }));
    if (values.length === 0) return;
    const back = resolvePack(JSON.parse([...senmlText('', values)].join('')));
    expect(back.map(({ t, ...one }) => ({ ...one, t: Math.round(Number(t) * 1000) }))).toEqual(
      dated.map(({ t, ...one }) => ({ ...one, t: Math.round(Number(t) * 1000) })),
    );
  });

  test('a record comes out whole: good values, base units of the RFC, times to the microsecond', async () => {
    const { text, said } = await exported({ as: 'senml', what: 'samples' });
    const rows = (await exported({ as: 'jsonl', what: 'samples' })).text
      .trim()
      .split('\n')
      .map((line) => JSON.parse(line));
    const good = rows.filter(({ quality }) => quality === 'good');
    const back = resolvePack(JSON.parse(text));
    const journal = readJournal(file);
    const id = journal.journalId;
    journal.close();
    expect(back.length).toBe(good.length);
    expect(said).toMatch(/suspect or bad ones left out/);
    for (const [i, { n, u, v, t }] of back.entries()) {
      const { channel, value, utc } = good[i];
      expect(n).toBe(`${id}:${channel}`);
      expect(u).toBe(channel === 'level' ? 'm' : 'Cel');
      // 1 ulp: the RFC wants metres, and a thousandth has no binary form.
      expect(Number(v) * (channel === 'level' ? 1000 : 1)).toBeCloseTo(value, 12);
      expect(isoUtc(Number(t) * 1000)).toBe(utc);
    }
  });

  test('moving the decimal point changes no digit', () => {
    expect([shifted(63.4, -3), shifted(-0.1, 3), shifted(1e-7, -3), shifted(1.5e21, 2)]).toEqual([
      0.0634, -100, 1e-10, 1.5e23,
    ]);
    const figures = fc.integer({ min: -1e12, max: 1e12 });
    fc.assert(
      fc.property(figures, fc.integer({ min: 0, max: 9 }), fc.integer({ min: -3, max: 3 }), (n, decimals, tens) => {
        expect(shifted(Number(`${n}e-${decimals}`), tens)).toBe(Number(`${n}e${tens - decimals}`));
      }),
    );
  });

  test('every id becomes a name that the RFC allows, no two the same', () => {
    fc.assert(
      fc.property(fc.string({ unit: 'binary', minLength: 1 }), fc.string({ unit: 'binary', minLength: 1 }), (a, b) => {
        expect(senmlName(a)).toMatch(/^[A-Za-z0-9:./_-]+$/);
        if (Buffer.from(a).equals(Buffer.from(b))) return;
        expect(senmlName(a)).not.toBe(senmlName(b));
      }),
    );
  });

  test('takes no words, and nothing is no pack', async () => {
    await expect(exported({ as: 'senml', what: 'outcomes' })).rejects.toThrow(/export-impossible/);
    const { text, code } = await exported({ as: 'senml', what: 'readings', job: 2 });
    expect([text, code]).toEqual(['', 2]);
  });
});

test('on the command line a file is written whole or not at all, and nothing is read and written at once', async () => {
  const to = join(dir, 'readings.jsonl');
  const one = stillwell('export', file, '--as', 'jsonl', '--what', 'readings', '--out', to);
  expect(await one.ended, one.output()).toBe(0);
  const readings = readFileSync(to, 'utf8')
    .trim()
    .split('\n')
    .map((line) => JSON.parse(line));
  expect(readings.map(({ reading, job }) => [reading, job])).toEqual([1, 2, 3, 4].map((id) => [id, 1]));
  expect(Date.parse(readings[0].utc)).toBeGreaterThan(BEGAN_UTC_MS);
  expect(existsSync(`${to}.part`)).toBe(false);
  const same = stillwell('export', file, '--out', file);
  expect(await same.ended).toBe(1);
  expect(same.output()).toContain('it is read from');
});

test('readings of the first schema leave as they were meant', async () => {
  const old = join(dir, 'schema-1.journal');
  copyFileSync(join(ROOT, 'tests/fixtures/schema-1.journal'), old);
  const [out, say] = [collector(), collector()];
  expect(await exportRecord(old, { as: 'csv', what: 'readings' }, out.stream, say.stream, null)).toBe(0);
  const [row] = parse(out.text(), { columns: true }) as Record<string, string>[];
  expect(row).toMatchObject({ reading: '1', level_mm: '57.86585833452343', words: expect.stringContaining('sure to') });
});

const SAMPLES = Number(process.env.STILLWELL_SAMPLES ?? 200_000);

test(`${SAMPLES} samples leave in less than 150 MB of memory`, { timeout: 3_600_000 }, async () => {
  const long = join(dir, 'long.journal');
  const count = writeLong(long, SAMPLES);
  const child = spawn(process.execPath, [join(ROOT, 'dist/tests/report/export-child.js'), long, 'csv'], {
    stdio: ['ignore', 'pipe', 'pipe'],
  });
  let lines = 0;
  let said = '';
  child.stdout.on('data', (chunk: Buffer) => {
    for (const byte of chunk) if (byte === 10) lines++;
  });
  child.stderr.on('data', (chunk: Buffer) => {
    said += chunk.toString();
  });
  await once(child, 'close');
  expect(lines, said).toBe(count + 1);
  const peakMb = Number(/peak (\d+) kB/.exec(said)?.[1]) / 1024;
  process.stdout.write(`${count} samples, peak ${peakMb.toFixed(0)} MB\n`);
  expect(peakMb).toBeGreaterThan(20);
  expect(peakMb).toBeLessThan(150);
});
