/** `stillwell calibrate` and `stillwell strap`: points from files, from answers, and live from talking boards. */
import { spawn } from 'node:child_process';
import { once } from 'node:events';
import { existsSync, mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { PassThrough } from 'node:stream';
import { afterAll, beforeEach, describe, expect, test } from 'vitest';
import { drivers } from '../../drivers/index.ts';
import { loadCalibrations } from '../../src/calibrations/folder.ts';
import { calibrate } from '../../src/commands/calibrate.ts';
import type { CalibrateOptions } from '../../src/commands/calibrate-options.ts';
import { check } from '../../src/commands/check.ts';
import { rerunCsv } from '../../src/commands/rerun.ts';
import { strap } from '../../src/commands/strap.ts';
import { talkWith } from '../../src/commands/talk.ts';
import { loadBench } from '../../src/config/load.ts';
import type { Certificate } from '../../src/core/calibration/certificate.ts';
import type { Live } from '../../src/feed/messages.ts';
import { ROOT } from '../repo/house.ts';
import { TalkingBoards } from '../support/boards.ts';
import { stillwell } from '../support/cli.ts';
import { Follower } from '../support/follower.ts';

const top = mkdtempSync(join(tmpdir(), 'stillwell-calibrate-'));
afterAll(() => rmSync(top, { recursive: true, force: true }));
const DEFAULTS: CalibrateOptions = { dueDays: 365, calmS: 1, patienceS: 20, who: 'Mira' };

const BENCH = `
bench: Boards on a shelf
instruments:
  probe: { driver: pattern, link: { tcp: "127.0.0.1:9" }, every: 500 ms, pattern: "T={temp} C", identity: probe 17 }
  sonar: { driver: columns, link: { tcp: "127.0.0.1:9" }, every: 200 ms, separator: ";", columns: [_, us, _] }
channels:
  temperature: { from: probe.temp, unit: °C, resolution: 0.01 K, uncertainty: 0.2 K }
  level: { from: sonar.us, unit: us, law: { echo-from-below: { face: 3 mm, dead-time: 2 us, sound: fluid } }, range: 5 mm to 120 mm, resolution: 0.01 mm, uncertainty: 0.1 mm }
  display: { typed: true, unit: °C, uncertainty: 0.5 K, valid: 2 min }
fluid: { typical: transmission-oil }
measure:
  level: level
  temperature: temperature
  window: 46 °C to 54 °C
  reference: 50 °C
  compensation: { slope: 0.25 mm/K, uncertainty: 0.03 mm/K }
  steady: { tolerance: 1 mm }
`;

let n = 0;
let dir: string;
let bench: string;
let said: string;
beforeEach(() => {
  dir = join(top, `${n++}`);
  said = '';
  bench = join(mkdtempSync(`${dir}-`), 'bench.yaml');
  dir = join(bench, '..');
  writeFileSync(bench, BENCH);
});

/** A talk in which these lines are typed; then nobody answers any more. */
function talkOf(...answers: readonly string[]) {
  const input = new PassThrough();
  input.end(answers.map((answer) => `${answer}\n`).join(''));
  return talkWith(input, { write: (text: string) => (said += text) });
}
const points = (...lines: readonly string[]) => {
  const file = join(dir, 'points.csv');
  writeFileSync(file, lines.join('\n'));
  return file;
};
function loaded(file = bench) {
  const result = loadBench(readFileSync(file, 'utf8'), file, drivers);
  if (!result.ok) throw new Error('the bench has mistakes');
  return result.bench;
}
const kept = (file = bench): Certificate[] =>
  loadCalibrations(file, loaded(file)).map(({ certificate }) => certificate);

describe('with points from a file', () => {
  test('several points: residuals, lack of fit, and a certificate that says it all', async () => {
    const file = points('reference,indicated', '0,0.31', '0,0.29', '25,25.12', '25,25.15', '50,49.93', '50,49.95');
    const options = {
      ...DEFAULTS,
      kind: 'n-point',
      points: file,
      reference: 'bath 4',
      referenceU: 0.02,
      yes: true,
    } as const;
    expect(await calibrate(bench, 'temperature', options, talkOf())).toBe(0);
    expect(said).toContain('Device: probe 17, known by the identity in the bench file');
    expect(said).toMatch(/Caution: Hot fluid burns/);
    expect(said).toMatch(/The curve fits: lack of fit F\(1, 3\) = 1\.0588, probability 0\.37919/);
    expect(said).toMatch(/Residual standard deviation 0\.017079 K, 4 degrees of freedom/);
    said = '';
    expect(await check(bench, talkOf())).toBe(0);
    expect(said).toMatch(/^Calibrated +temperature: \S+-temperature-n-point-1 for probe 17, due \d{4}-\d\d-\d\d$/m);
    const [certificate] = kept();
    expect(certificate).toMatchObject({
      identity: 'probe 17',
      signal: 'temp',
      channel: 'temperature',
      unit: 'Cel',
      kind: 'n-point',
      reference: { name: 'bath 4', u: 0.02 },
      who: 'Mira',
      result: { kind: 'correction', degreesOfFreedom: 4, low: 0.29, high: 49.95 },
    });
    expect(certificate?.points[0]).toMatchObject({ reference: 0, indicated: 0.31, asFound: 0.31 });
    expect((certificate?.dueUtcMs ?? 0) - (certificate?.atUtcMs ?? 0)).toBe(365 * 86_400_000);
  });

  test('an instrument that falls while the reference rises gets no certificate', async () => {
    const file = points('reference,indicated', '0,100', '50,-30', '100,7');
    const options = { ...DEFAULTS, kind: 'n-point', points: file, reference: 'bath 4', yes: true } as const;
    await expect(calibrate(bench, 'temperature', options, talkOf())).rejects.toThrow(/interchanged/);
    expect(kept()).toEqual([]);
  });

  test('an error that is no correction any more is kept only by hand', async () => {
    const file = points('reference,indicated', '0,31', '50,83', '100,129');
    const options = { ...DEFAULTS, kind: 'n-point', points: file, reference: 'bath 4' } as const;
    expect(await calibrate(bench, 'temperature', { ...options, yes: true }, talkOf())).toBe(1);
    expect(said).toMatch(/Caution: an error of 33 K on an instrument stated at/);
    expect(said).toContain('Nothing was written');
    expect(kept()).toEqual([]);
    expect(await calibrate(bench, 'temperature', options, talkOf('yes'))).toBe(0);
    expect(kept()).toHaveLength(1);
  });

  test('as found is what the certificate before left', async () => {
    const before = { ...DEFAULTS, kind: 'ice-point', points: points('indicated', '0.5'), yes: true } as const;
    await calibrate(bench, 'temperature', before, talkOf());
    await calibrate(bench, 'temperature', { ...before, points: points('indicated', '0.6') }, talkOf());
    expect(kept()).toMatchObject([{ points: [{ indicated: 0.6, reference: 0 }] }]);
    expect(kept()[0]?.points[0]?.asFound).toBeCloseTo(0.1, 12);
    const [file] = readdirSync(join(dir, 'calibrations'));
    expect(
      readFileSync(join(dir, 'calibrations', file ?? ''), 'utf8')
        .trimEnd()
        .split('\n'),
    ).toHaveLength(2);
  });

  test('echoes over two lengths, and the rerun of a log that sees them', async () => {
    const c = 1320;
    const us = (mm: number) => (4 + (2000 * mm) / c).toFixed(4);
    const file = points('length-mm,echo-us,u-length-mm,u-echo-us', `40,${us(40)},0.05,0.02`, `90,${us(90)},0.05,0.02`);
    const log = join(dir, 'log.csv');
    const rows = Array.from({ length: 100 }, (_, i) => `${i / 5},${i % 2 === 0 ? '48.0' : ''},${us(59)}`);
    writeFileSync(log, ['time,temperature,level', ...rows].join('\n'));
    const read = async () => {
      const out = join(dir, 'out.jsonl');
      await rerunCsv(log, { bench, out }, new PassThrough().resume());
      const line = readFileSync(out, 'utf8')
        .split('\n')
        .find((one) => one.includes('reading'));
      return (JSON.parse(line ?? '{}') as { reading: { levelMm: number; U95Mm: number } }).reading;
    };
    const without = await read();
    const options = { ...DEFAULTS, kind: 'echo-lengths', points: file, temperature: 48, yes: true } as const;
    expect(await calibrate(bench, 'level', options, talkOf('caliper'))).toBe(0);
    expect(said).toMatch(/Nothing tells this device from another/);
    expect(said).toMatch(/Speed of sound 13(19|20)\.\d ± \d\.\d m\/s at 48 °C; dead time [34]\.\d+ ± 0\.\d+ µs/);
    const calibrated = await read();
    // 3 mm of the face, 59 mm of way, at 48 °C: brought up by 0.25 mm/K.
    expect(calibrated.levelMm).toBeCloseTo(62 + 0.5, 2);
    expect(Math.abs(without.levelMm - 62.5)).toBeGreaterThan(0.3);
    expect(calibrated.U95Mm).toBeLessThan(without.U95Mm / 2);
  });

  test('successive echoes, a block, and refitting', async () => {
    const echoes = points('echo-us', '61.2', '120.4', '179.6');
    const successive = {
      ...DEFAULTS,
      kind: 'successive-echoes',
      points: echoes,
      length: 40,
      lengthU: 0.05,
      temperature: 45,
      temperatureU: 0.5,
      yes: true,
    } as const;
    expect(await calibrate(bench, 'level', successive, talkOf())).toBe(0);
    const block = {
      ...DEFAULTS,
      kind: 'block',
      points: points('echo-us', '10.0', '10.02'),
      length: 25,
      lengthU: 0.02,
      blockSound: 5900,
      blockSoundU: 30,
      couplant: 'grease',
      yes: true,
    } as const;
    expect(await calibrate(bench, 'level', block, talkOf())).toBe(0);
    const refit = {
      ...DEFAULTS,
      kind: 'refit',
      points: points('indicated', '62.1', '62.4', '62.0', '62.2'),
      yes: true,
    } as const;
    expect(await calibrate(bench, 'level', refit, talkOf())).toBe(0);
    const results = Object.fromEntries(kept().map((one) => [one.result.kind, one]));
    expect(results.echo?.result).toMatchObject({
      soundMPerS: expect.closeTo(80_000 / 59.2, 6),
      deadTimeUs: expect.closeTo(2, 6),
    });
    expect(results['dead-time']).toMatchObject({
      couplant: 'grease',
      result: { deadTimeUs: expect.closeTo(10.01 - 50_000 / 5900, 9) },
    });
    expect(results.refit?.result).toMatchObject({ degreesOfFreedom: 3, sd: expect.closeTo(0.170783, 6) });
  });

  test.each<[string, string, Partial<CalibrateOptions>, readonly string[], RegExp]>([
    [
      'a channel that is not there',
      'pressure',
      { kind: 'ice-point' },
      [],
      /no channel pressure; there are temperature, level, display/,
    ],
    [
      'a level in ice',
      'level',
      { kind: 'ice-point' },
      ['indicated', '1'],
      /ice and boiling water are for temperatures/,
    ],
    [
      'an echo of a thermometer',
      'temperature',
      { kind: 'block', length: 25, blockSound: 5900 },
      ['echo-us', '1'],
      /times no echo/,
    ],
    [
      'one point for a line',
      'temperature',
      { kind: 'n-point', reference: 'x' },
      ['reference,indicated', '0,1'],
      /need as many points/,
    ],
    [
      'one reference for two',
      'temperature',
      { kind: 'two-point' },
      ['reference,indicated', '0,1', '0,2'],
      /two different references/,
    ],
    [
      'a degree too high',
      'temperature',
      { kind: 'n-point', degree: 9, reference: 'x' },
      ['reference,indicated', '0,1', '2,2'],
      /degree 0 to 4/,
    ],
    [
      'a pressure in hPa',
      'temperature',
      { kind: 'boiling-point', pressure: 1013 },
      ['indicated', '99'],
      /20 to 120 kPa/,
    ],
    [
      'one echo',
      'level',
      { kind: 'successive-echoes', length: 40, lengthU: 0.1, temperature: 40 },
      ['echo-us', '61'],
      /two successive echoes/,
    ],
  ])('%s is refused in words, and nothing is written', async (_what, channel, options, lines, words) => {
    const all = { ...DEFAULTS, ...options, points: points(...lines), yes: true };
    await expect(calibrate(bench, channel, all, talkOf())).rejects.toThrow(words);
    expect(existsSync(join(dir, 'calibrations'))).toBe(false);
  });
});

describe('with answers at the terminal', () => {
  test('it asks for the kind, takes typed values, and writes only after yes', async () => {
    const answers = ['two-point', '0', '0.05', '0.4', '50', '0.1', 'warm', '49.8', 'two baths'];
    expect(await calibrate(bench, 'temperature', DEFAULTS, talkOf(...answers, 'no'))).toBe(1);
    expect(said).toContain('Nothing was written.');
    expect(said).toContain('A plain number is expected');
    expect(kept()).toEqual([]);
    expect(await calibrate(bench, 'temperature', DEFAULTS, talkOf(...answers, 'yes'))).toBe(0);
    expect(kept()[0]).toMatchObject({ kind: 'two-point', reference: { name: 'two baths', u: 0 } });
    expect(kept()[0]?.points.map(({ asFound }) => asFound)).toEqual([0.4, expect.closeTo(-0.2, 9)]);
  });

  test('ice and boiling water are points that need no reference value', async () => {
    const answers = ['ice', '0.2', 'boiling', '95', '98.0', '', 'yes'];
    expect(await calibrate(bench, 'temperature', { ...DEFAULTS, kind: 'two-point' }, talkOf(...answers))).toBe(0);
    expect(said).toMatch(/Boiling water and its steam scald/);
    expect(kept()[0]?.points.map(({ reference }) => reference)).toEqual([0, expect.closeTo(98.17833, 4)]);
    expect(kept()[0]?.points.map(({ uReference }) => uReference)).toEqual([0.05, expect.closeTo(0.1038, 3)]);
  });

  test('a display that a person reads can be calibrated, under the name of its channel', async () => {
    expect(
      await calibrate(bench, 'display', { ...DEFAULTS, kind: 'boiling-point', altitude: 0 }, talkOf('99.1', 'yes')),
    ).toBe(0);
    expect(said).toMatch(/The reference is 99\.974 °C ± 0\.4/);
    expect(kept()).toMatchObject([
      { identity: 'channel display', result: { coefficients: [expect.closeTo(0.8743, 3)] } },
    ]);
  });

  test('when nobody answers it says which option to give', async () => {
    await expect(calibrate(bench, 'temperature', { ...DEFAULTS, kind: 'n-point' }, talkOf())).rejects.toThrow(
      /need as many points|tell the coefficients|two/,
    );
    await expect(calibrate(bench, 'level', { ...DEFAULTS, kind: 'block' }, talkOf())).rejects.toThrow(/--length/);
  });
});

test('live: calm values of a board on its port become a certificate, and the next run measures by it', {
  timeout: 60_000,
}, async () => {
  const boards = new TalkingBoards();
  try {
    const file = await boards.start(50);
    boards.temperatureC = 0.4;
    const options = { ...DEFAULTS, kind: 'ice-point', yes: true } as const;
    expect(await calibrate(file, 'temperature', options, talkOf(''))).toBe(0);
    expect(said).toMatch(/probe: Connected\./);
    expect(said).toMatch(/0\.4\d* ± 0\.0\d+ °C \(mean of \d+, standard uncertainty\)/);
    const [certificate] = kept(file);
    // The board wobbles by 0 to 0.1 about 0.45.
    expect(certificate?.points[0]?.indicated).toBeCloseTo(0.45, 1);
    expect(certificate?.points[0]?.count).toBeGreaterThanOrEqual(8);

    boards.temperatureC = 50.4;
    const run = stillwell('run', file, '--port', '0');
    const [url] = await run.says(/http:\S+/);
    const follower = new Follower(url);
    const live = await follower.until('a corrected temperature', (): Live | undefined =>
      follower.live?.channels.temperature?.quality === 'good' ? follower.live : undefined,
    );
    expect(live.channels.temperature?.value).toBeCloseTo(50, 0);
    expect(Math.abs((live.channels.temperature?.value ?? 0) - 50)).toBeLessThan(0.15);
    const reading = await follower.until('a reading', () =>
      follower.events.find(({ outcome }) => outcome.kind === 'reading'),
    );
    const budget = reading.outcome.kind === 'reading' ? reading.outcome.reading.budget : [];
    expect(budget.map(({ component }) => component)).toEqual(
      expect.arrayContaining(['calibration (temperature)', 'reference of the calibration (temperature)']),
    );
    follower.close();
    expect(await run.stop()).toBe(0);
    const replay = stillwell('replay', file.replace('.yaml', '.journal'));
    expect(await replay.ended, replay.output()).toBe(0);

    const [name] = readdirSync(join(file, '..', 'calibrations'));
    const at = join(file, '..', 'calibrations', name ?? '');
    writeFileSync(at, readFileSync(at, 'utf8').replace('0.4', '0.3'));
    const refused = stillwell('run', file, '--port', '0');
    expect(await refused.ended).toBe(1);
    expect(refused.output()).toMatch(/\.jsonl:1: .*edited.*\[calibration-damaged\]/s);
  } finally {
    await boards.stop();
  }
});

test('live: echo times of a board at two lengths become speed of sound and dead time', {
  timeout: 60_000,
}, async () => {
  const boards = new TalkingBoards();
  try {
    const file = await boards.start(50);
    const law = 'law: { echo-from-below: { face: 0 mm, dead-time: 2 us, sound: fluid } }, range: 5 mm to 120 mm';
    const text = readFileSync(file, 'utf8').replace('unit: mm,', `unit: us, ${law},`);
    writeFileSync(file, `${text}fluid: { typical: transmission-oil }\n`);
    const answers: Record<string, string> = {
      'Length 1': '40',
      'Length 2': '90',
      'Length 3': '',
      'its standard': '0.05',
    };
    const asked: string[] = [];
    const talk = {
      write: (words: string) => (said += words),
      ask(question: string) {
        asked.push(question);
        const found = Object.entries(answers).find(([part]) => question.includes(part));
        if (question.startsWith('Length') && found !== undefined)
          // 1350 m/s and 5 µs, behind the wobble of the board, 0.05 µs in the mean.
          boards.levelMm = 5 + (2000 * Number(found[1] === '' ? 40 : found[1])) / 1350 - 0.05;
        return Promise.resolve(found?.[1] ?? '');
      },
      close() {},
    };
    expect(await calibrate(file, 'level', { ...DEFAULTS, kind: 'echo-lengths', yes: true }, talk)).toBe(0);
    expect(said).toMatch(/The fluid is at 50\.\d+ °C by temperature/);
    expect(asked.filter((question) => question.startsWith('Enter once'))).toHaveLength(2);
    const result = kept(file)[0]?.result;
    if (result?.kind !== 'echo') throw new Error('no echo');
    expect(Math.abs(result.soundMPerS - 1350)).toBeLessThan(4);
    expect(Math.abs(result.deadTimeUs - 5)).toBeLessThan(0.3);
    expect(result.atC).toBeCloseTo(50, 0);
    expect(result.uAtC).toBe(0.2);

    // A correction is found behind the law with that certificate: 62 mm shows as 62 mm, and not as the 64 mm of before.
    boards.levelMm = 5 + (2000 * 62) / 1350 - 0.05;
    const points = talkOf('62', '0', '', '62', '0', '', '', 'two gauge blocks');
    const zero = { ...DEFAULTS, kind: 'n-point', degree: 0, yes: true } as const;
    expect(await calibrate(file, 'level', zero, points)).toBe(0);
    const correction = kept(file).find((one) => one.kind === 'n-point');
    for (const { indicated } of correction?.points ?? []) expect(Math.abs(indicated - 62)).toBeLessThan(0.2);
    expect(correction?.points).toHaveLength(2);
  } finally {
    await boards.stop();
  }
});

test('live: a value that never rests is no point', { timeout: 30_000 }, async () => {
  const boards = new TalkingBoards();
  try {
    const file = await boards.start(50);
    const rising = setInterval(() => (boards.temperatureC += 0.5), 50);
    const options = { ...DEFAULTS, kind: 'ice-point', patienceS: 2, yes: true } as const;
    await expect(calibrate(file, 'temperature', options, talkOf(''))).rejects.toThrow(/it still moves, .* within 2 s/);
    clearInterval(rising);
    expect(existsSync(join(file, '..', 'calibrations'))).toBe(false);
  } finally {
    await boards.stop();
  }
});

describe('strap', () => {
  const OPTIONS = { start: 0, startU: 0, measurePercent: 0.2 };
  const rows = [
    'litres,u-litres,level-mm,u-level-mm',
    '0,0,10,0.1',
    '1,0.005,24.6,0.1',
    '1,0.005,38.9,0.1',
    '1,0.005,53,0.1',
    '1,0.005,66.9,0.1',
  ];

  test('prints a vessel section that the bench file takes as it stands', async () => {
    expect(await strap(points(...rows), OPTIONS, talkOf())).toBe(0);
    const section = said.slice(said.indexOf('vessel:'));
    writeFileSync(bench, BENCH + section);
    expect(loaded().vessel).toMatchObject({
      shape: {
        kind: 'strapping-table',
        points: [
          { mm: 10, litres: 0 },
          { mm: 24.6, litres: 1 },
          { mm: 38.9, litres: 2 },
          { mm: 53, litres: 3 },
          { mm: 66.9, litres: 4 },
        ],
      },
      // √(0.005² + 0.002² + (0.1 mm by the area)²) of the first litre, rounded up.
      uVolumeShare: expect.closeTo(0.0088, 9),
    });
    expect(said).toMatch(/Between rows the curve foretells a row left out to 0\.00\d+ L/);
  });

  test('takes rows as they are typed, with the cautions first', async () => {
    const typed = ['0 0 10 0.1', 'one litre', '1 0.005 24.6 0.1', '1 0.005 38.9 0.1', ''];
    expect(await strap(null, OPTIONS, talkOf(...typed))).toBe(0);
    expect(said.indexOf('Caution')).toBeLessThan(said.indexOf('Row 1'));
    expect(said).toContain('Four plain numbers are expected');
    expect(said).toContain('- [38.9 mm, 2 L]');
  });

  test('a level that fell is named by its row', async () => {
    const file = points(...rows.slice(0, 3), '1,0.005,20,0.1');
    await expect(strap(file, OPTIONS, talkOf())).rejects.toThrow(/row 3: the level went from 24.6 mm to 20 mm/);
  });
});

test('on the command line: exit codes, and answers from a pipe', { timeout: 30_000 }, async () => {
  const main = join(ROOT, 'dist/src/main.js');
  const child = spawn(process.execPath, [main, 'calibrate', bench, 'temperature', '--kind', 'ice-point'], {
    stdio: ['pipe', 'pipe', 'pipe'],
  });
  child.stdin.end('0.25\nyes\n');
  let text = '';
  child.stdout.on('data', (chunk: Buffer) => (text += chunk.toString()));
  const [code] = (await once(child, 'close')) as [number];
  expect(code, text).toBe(0);
  expect(text).toMatch(/Certificate \S+-temperature-ice-point-1, due \d{4}-\d\d-\d\d/);
  const silent = stillwell('calibrate', bench, 'temperature', '--kind', 'ice-point');
  expect(await silent.ended).toBe(1);
  expect(silent.output()).toContain('[calibration-impossible]');
  const odd = stillwell('calibrate', bench, 'temperature', '--kind', 'guess');
  expect(await odd.ended).toBe(1);
  expect(odd.output()).toContain('Allowed choices are ice-point');
  const table = stillwell('strap', points('litres,u-litres,level-mm,u-level-mm', '0,0,10,0.1', '1,0.005,24.6,0.1'));
  expect(await table.ended).toBe(0);
  expect(table.output()).toContain('vessel:');
});
