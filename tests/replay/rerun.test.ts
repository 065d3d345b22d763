import { Readable } from 'node:stream';
import { describe, expect, test } from 'vitest';
import { drivers } from '../../drivers/index.ts';
import { CsvFault, NO_ZONE } from '../../src/replay/csv-cells.ts';
import { type RerunLine, rerun } from '../../src/replay/rerun.ts';
import { testBench } from '../support/bench.ts';
import { noise } from '../support/core-rig.ts';

async function lines(csv: string, options = {}) {
  const found: RerunLine[] = [];
  const count = await rerun(Readable.from([csv]), testBench, drivers, (line) => found.push(line), options);
  return { found, count };
}

/** 40 s at 5 Hz, the temperature every other row, warming through the window as in the tests of the core. */
function log(time: (s: number) => string = (s) => s.toFixed(1), header = 'time,temperature,level'): string {
  const ripple = noise(5);
  const rows = [header];
  for (let i = 0; i <= 200; i++) {
    const s = i / 5;
    const c = 52 - 22 * Math.exp(-s / 20);
    const level = 62 + 0.25 * (c - 50) + 0.2 * ripple();
    rows.push(`${time(s)},${i % 2 === 0 ? c.toFixed(2) : ''},${level.toFixed(2)}`);
  }
  return rows.join('\n');
}

test('a log of another logger gives changes of ready and readings with their time', async () => {
  const { found, count } = await lines(log());
  expect(count).toEqual({ rows: 201, discarded: {}, notes: [] });
  expect(found[0]).toMatchObject({ ready: true, why: [] });
  expect(found[0]?.t).toBeGreaterThan(25.8);
  expect(found[0]?.t).toBeLessThan(34);
  const reading = found.find((line) => 'reading' in line);
  expect(reading && 'reading' in reading && reading.reading.levelMm).toBeCloseTo(62, 0);
  expect(reading && 'reading' in reading && Object.keys(reading.reading)).toEqual(['levelMm', 'U95Mm', 'temperatureC']);
});

test('ISO 8601 times and another origin give the same story at their own times', async () => {
  const plain = (await lines(log())).found;
  const shifted = (await lines(log((s) => (1000 + s).toFixed(1)))).found;
  expect(shifted.map((line) => Math.round((line.t - 1000) * 1e6))).toEqual(
    plain.map((line) => Math.round(line.t * 1e6)),
  );
  const iso = (await lines(log((s) => new Date(1e12 + s * 1000).toISOString()))).found;
  expect(iso.map((line) => Math.round((line.t - 1e9) * 1e3))).toEqual(plain.map((line) => Math.round(line.t * 1e3)));
});

test('columns may stand in any order with others between, and the time column may be named', async () => {
  const moved = log()
    .split('\n')
    .map((row) => {
      const [time, temperature, level] = row.split(',');
      return `${level},x,${time},${temperature}`;
    })
    .join('\r\n');
  const { found } = await lines(moved, { timeColumn: 'time' });
  expect(found).toEqual((await lines(log())).found);
});

test('a stretch without the level is no sample: ready goes, by silence', async () => {
  const silent = log()
    .split('\n')
    .map((row, index) => (index > 180 ? row.replace(/[^,]*$/, '') : row))
    .join('\n');
  const { found } = await lines(silent);
  const last = found.at(-1);
  expect(last).toMatchObject({ ready: false, why: expect.arrayContaining(['fresh']) });
  // The last level stands at 35.8 s; three intervals of 0.2 s later it is stale.
  expect(last?.t).toBeCloseTo(36.4, 2);
});

test('a value that is no number costs its row and is counted', async () => {
  const { count } = await lines(log().replace(/\n10\.0,([^,]*),[^\n]*/, '\n10.0,$1,NaN'));
  expect(count.discarded).toEqual({ 'bad-number': 1 });
});

describe('what cannot be used is refused in words', () => {
  test.each([
    ['an empty file', '', 'no row of data'],
    ['a header alone', 'time,temperature,level', 'no row of data'],
    ['a missing channel', 'time,temperature\n0,20', 'no column for channel level'],
    ['time that is none', 'time,temperature,level\nnoon,20,60', 'row 2: "noon" is no time'],
    ['a column twice', 'time,level,temperature,level\n0,60,20,61', 'the column "level" stands there more than once'],
    [
      'the time column twice',
      'time,temperature,level,time\n0,20,60,0',
      'the column "time" stands there more than once',
    ],
    ['semicolons', 'time;temperature;level\n0;20;60', '";" stands between the columns; a comma is expected'],
    ['tabs', 'time\ttemperature\tlevel\n0\t20\t60', 'a tab stands between the columns'],
    ['milliseconds since 1970', 'time,temperature,level\n1767225600000,20,60', 'row 2: 1767225600000 is too large for'],
    ['a decimal comma', 'time,temperature,level\n0,20,60\n1,20,"60,5"', 'row 3: "60,5" has a comma in the number'],
    ['a decimal comma in the time', 'time,temperature,level\n"0,5",20,60', 'row 2: "0,5" has a comma in the number'],
    [
      'an instant of no calendar',
      'time,temperature,level\n2031-13-06T08:00:00Z,20,60',
      'row 2: "2031-13-06T08:00:00Z" is',
    ],
    ['time running backwards', 'time,temperature,level\n1,20,60\n0.5,20,60', 'row 3: time goes backwards'],
  ])('%s', async (_case, csv, words) => {
    await expect(lines(csv)).rejects.toThrow(words);
    await expect(lines(csv)).rejects.toBeInstanceOf(CsvFault);
  });
});

describe('instants of the calendar', () => {
  const at = (zone: string, between = 'T') =>
    log((s) => `${new Date(1e12 + s * 1000).toISOString().slice(0, -1).replace('T', between)}${zone}`);

  test('without a zone are taken as UTC wherever the computer is, and that is said once', async () => {
    const withZone = await lines(at('Z'));
    expect(withZone.count.notes).toEqual([]);
    for (const between of ['T', ' ']) {
      const without = await lines(at('', between));
      expect(without.found).toEqual(withZone.found);
      expect(without.count.notes).toEqual([NO_ZONE]);
    }
  });

  test('with another zone are moved by it', async () => {
    const [utc, east] = [(await lines(at('Z'))).found, (await lines(at('+02:00'))).found];
    expect(east.map(({ t }) => Math.round((t + 7200) * 1e3))).toEqual(utc.map(({ t }) => Math.round(t * 1e3)));
  });

  test('up to the year 5138 may be plain seconds', async () => {
    expect((await lines(log((s) => (1.7e9 + s).toFixed(1)))).count.rows).toBe(201);
  });
});

test('the strength of an echo has its own column, and a weak echo counts for nothing', async () => {
  const echoing = {
    ...testBench,
    channels: testBench.channels.map((channel) =>
      channel.id === 'level' ? { ...channel, echo: { strengthSignal: 'q', leastStrength: 40, nearest: 0 } } : channel,
    ),
  };
  const told = async (strength: number) => {
    const rows = log().split('\n');
    const csv = rows.map((row, i) => `${row},${i === 0 ? 'q' : strength}`).join('\n');
    const doubts = new Map<string | null, number>();
    const found: RerunLine[] = [];
    await rerun(Readable.from([csv]), echoing, drivers, (line) => found.push(line), {
      onOutput(output) {
        if (output.kind === 'sample' && output.channel === 'level')
          doubts.set(output.reason, (doubts.get(output.reason) ?? 0) + 1);
      },
    });
    return { ready: found.some((line) => 'ready' in line && line.ready), doubts };
  };
  expect(await told(80)).toEqual({ ready: true, doubts: new Map([[null, 201]]) });
  expect(await told(20)).toEqual({ ready: false, doubts: new Map([['echo-weak', 201]]) });
});

test('everything that the core says can be had, at the times of the log', async () => {
  const times: number[] = [];
  await rerun(Readable.from([log((s) => (1000 + s).toFixed(1))]), testBench, drivers, () => {}, {
    onOutput: (output, t) => {
      if (output.kind === 'status') times.push(t);
    },
  });
  expect(times.length).toBeGreaterThan(100);
  expect(times[0]).toBeCloseTo(1000, 0);
  expect(times.at(-1)).toBeCloseTo(1040, 0);
});
