/** `stillwell procedure` and `stillwell check` on procedures. */
import { copyFileSync, existsSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { Readable } from 'node:stream';
import { afterAll, beforeEach, describe, expect, test } from 'vitest';
import { check } from '../../src/commands/check.ts';
import { copyProcedure, listProcedures, showProcedure } from '../../src/commands/procedure.ts';
import { newProcedure } from '../../src/commands/procedure-new.ts';
import { talkWith } from '../../src/commands/talk.ts';
import { wholeProcedure } from '../../src/config/procedures.ts';
import { PROCEDURE } from '../config/procedure-text.ts';
import { ROOT } from '../repo/house.ts';
import { stillwell } from '../support/cli.ts';

const folder = mkdtempSync(join(tmpdir(), 'stillwell-procedure-'));
afterAll(() => rmSync(folder, { recursive: true, force: true }));
const FILE = join(folder, 'bay-seven.yaml');
beforeEach(() => rmSync(FILE, { force: true }));

function listening() {
  let said = '';
  const out = {
    write(text: string) {
      said += text;
    },
  };
  return { out, said: () => said };
}

async function checked(file: string): Promise<{ code: number; said: string }> {
  const { out, said } = listening();
  return { code: await check(file, out), said: said() };
}

/** Answers that are piped in, one line each. */
async function made(answers: readonly string[], file = FILE): Promise<string> {
  const { out, said } = listening();
  const talk = talkWith(Readable.from(answers.map((line) => `${line}\n`)), out);
  await newProcedure(file, talk).finally(talk.close);
  return said();
}

describe('list and show', () => {
  test('those that come with the software', () => {
    const { out, said } = listening();
    expect(listProcedures(out)).toBe(0);
    expect(said()).toMatch(
      /^gearbox-chart {9}Sealed gearbox, level to a chart\n {22}version 1, 21 steps, \d+ cautions\n/,
    );
    expect(said().match(/^[a-z-]+ {2,}/gm)).toHaveLength(4);
  });

  test('one in full: numbered, cautions before the words, within the width', () => {
    const { out, said } = listening();
    showProcedure('gearbox-overflow', out, 72);
    const text = said();
    expect(Math.max(...text.split('\n').map((line) => line.length))).toBeLessThanOrEqual(72);
    expect(text.match(/^ *(\d+)\. /gm)?.map(Number.parseFloat)).toEqual(
      Array.from({ length: 17 }, (_, index) => index + 1),
    );
    const [, add] = /^ 10\. (Add fluid[\s\S]*?)\n\n/m.exec(text) ?? [];
    expect(add?.split('\n').map((line) => line.trim().slice(0, 12))).toEqual([
      'Add fluid, p',
      '! Pressurise',
      "maker's figu",
      '! Hot fluid ',
      'protection.',
      '! Watched: f',
      'the pressure',
      'Fill slowly ',
      'time left al',
      '- Poured in.',
      'pump. In one',
      '> Goes on at',
    ]);
  });

  test('one by its file, with every kind of step', () => {
    const file = join(folder, 'every-kind.yaml');
    writeFileSync(file, PROCEDURE);
    const { out, said } = listening();
    showProcedure(file, out);
    for (const line of [
      'Asked at the start: Plate (required).',
      'Measured by: Jug, in steps of 0.05 L; Scale, in steps of 0.012 kg.',
      'A refill takes besides what was drained: Filter, 0.2 L ± 0.03 L.',
      '     [ ] Brake on',
      '     - Room for a note.',
      '     ... Fluid on the label, the same as "Wanted fluid"',
      '     ... Temperature of the fluid, 10 °C to 40 °C',
      '     ... How it looks (may stay empty): clear / dark',
      '     - A reading; later ones are held against it.',
      '     - Not finished before the gate "calm" is open.',
      '     - Not finished before "Fluid on the label" is entered.',
      '     - Drained. Measured by: Scale, or: Jug. In one or several amounts.',
      '     - The engine stops with this step.',
      '     ! Watched: filling below 150 kPa. If not: Stop the pump.',
      '     - Poured in, as much as the refill plan says. Measured by: Jug.',
      '     - Not finished before 80 % of the refill are in.',
      '     - Not finished before 2.5 L are in.',
      '     - Waits until a reading counts.',
      '     - A reading, held against the target.',
      '     > Not within the tolerance: to 10.',
      '     > Goes on at 11.',
      '     - Drained or poured in, as the last reading advises. Measured by: Jug.',
      ' 11. Zero (may be left out)',
      '     - The sensor on its block, against its zero.',
      '     ( ) A drip > 1',
    ])
      expect(`\n${said()}`).toContain(`\n${line}\n`);
  });

  test('a name that there is none of, with the one that was meant', () => {
    const { out } = listening();
    expect(() => showProcedure('gearbox-mached', out)).toThrow(/did you mean gearbox-matched\?.*\[procedure-unknown\]/);
    expect(() => showProcedure('zzz', out)).toThrow(
      /gearbox-chart, gearbox-matched, gearbox-overflow, hydraulic-reservoir/,
    );
    expect(() => showProcedure('nowhere.yaml', out)).toThrow(/procedure-unreadable/);
  });
});

describe('copy', () => {
  test('under the name of the file, with its comments, and it checks clean', async () => {
    const { out, said } = listening();
    expect(copyProcedure('gearbox-matched', FILE, out)).toBe(0);
    const text = readFileSync(FILE, 'utf8');
    expect(text).toContain(
      '# Made from gearbox-matched, version 1. Change words and figures, then run\n#   stillwell check bay-seven.yaml\n',
    );
    expect(text).toContain('\nprocedure: bay-seven\n');
    expect(text).toContain('# YOUR FIGURE');
    expect(said()).toContain('procedures: [bay-seven.yaml]');
    expect((await checked(FILE)).code).toBe(0);
  });

  test('never over a file, never under the name of a shipped one', () => {
    const { out } = listening();
    writeFileSync(FILE, 'mine');
    expect(() => copyProcedure('gearbox-matched', FILE, out)).toThrow(/it is there already.*\[procedure-unwritten\]/);
    expect(readFileSync(FILE, 'utf8')).toBe('mine');
    const same = join(folder, 'gearbox-chart.yaml');
    expect(() => copyProcedure('gearbox-matched', same, out)).toThrow(/comes with the software/);
    expect(() => copyProcedure('gearbox-matched', join(folder, '7.yaml'), out)).toThrow(/no name comes of this one/);
    expect(() => copyProcedure('gearbox-matched', join(folder, 'none/x.yaml'), out)).toThrow(/procedure-unwritten/);
    expect(existsSync(same)).toBe(false);
  });
});

describe('new', () => {
  const FIGURES = ['70 %', '0.9 bar', '31 mm', '150 mL', ''];

  test('from piped answers: it checks clean, and holds what was answered', async () => {
    const bolts = ['Bolts 1 to 4: by hand', 'All bolts, first stage', '- "odd" # { line'];
    await made(['2', '', 'Bay seven: "big" box', ...FIGURES, ...bolts, '', 'Pan seal', '', '']);
    expect((await checked(FILE)).said).toMatch(/bay-seven\.yaml is good\./);
    const { procedure, text } = wholeProcedure(FILE);
    expect(procedure).toMatchObject({ id: 'bay-seven', title: 'Bay seven: "big" box' });
    expect(procedure.steps.flatMap(({ needs }) => needs)).toEqual([
      { kind: 'filled-share', share: 0.7 },
      { kind: 'filled-share', share: 0.7 },
    ]);
    expect(procedure.holds.map(({ limit }) => limit)).toEqual([90, 31]);
    expect(procedure.allowances.map(({ litres }) => litres)).toEqual([0.15, 0.12]);
    const renew = procedure.steps.findIndex(({ id }) => id === 'renew');
    const lists = procedure.steps.filter(({ id }) => id === 'fastener-pattern' || id === 'new-seals');
    expect(procedure.steps.slice(renew + 1, renew + 3)).toEqual(expect.arrayContaining(lists));
    expect(lists.map((step) => (step.kind === 'confirm' ? step.ticks.map(({ words }) => words) : []))).toEqual(
      expect.arrayContaining([bolts, ['Pan seal']]),
    );
    expect(text).toContain('    below: 0.9 bar # YOUR FIGURE\n');
  });

  test('an answer that does not fit is told and asked again', async () => {
    const said = await made(['9', 'gearbox-chart', 'Bay Seven', 'bay-8', '', '3 bars', '5 g', '60 %', '', '', '']);
    expect(said).toContain('one of the numbers or names above is expected\n');
    expect(said).toContain('a name has small letters');
    expect(said).toContain('unknown unit "bars"');
    expect(said).toContain('"g" is a unit of mass');
    expect(wholeProcedure(FILE).procedure).toMatchObject({ id: 'bay-8', holds: [{ limit: 120 }, { limit: 24 }] });
  });

  test('three of them end it, and nothing is written', async () => {
    await expect(made(['1', '', '', 'much', 'more', 'all'])).rejects.toMatchObject({ code: 'procedure-unwritten' });
    expect(existsSync(FILE)).toBe(false);
  });

  test('where the answers end, the rest is as it was, and that is said', async () => {
    const said = await made(['gearbox-overflow']);
    expect(said).toContain('No more answers came: the rest is as in gearbox-overflow, version 1.');
    expect((await checked(FILE)).code).toBe(0);
  });

  test('nobody who answers, no file', async () => {
    await expect(made([])).rejects.toThrow(/nobody answers/);
    expect(existsSync(FILE)).toBe(false);
  });

  test('never over a file that is there, before anything is asked', async () => {
    writeFileSync(FILE, 'mine');
    await expect(made(['1'])).rejects.toThrow(/it is there already/);
    expect(readFileSync(FILE, 'utf8')).toBe('mine');
  });

  test.each(['gearbox-chart', 'gearbox-matched', 'gearbox-overflow', 'hydraulic-reservoir'])(
    'from %s with a tick list of each kind',
    async (id) => {
      await made([id, '', '']);
      const blank = wholeProcedure(FILE).procedure;
      rmSync(FILE);
      const figures =
        blank.holds.length + blank.allowances.length + (JSON.stringify(blank).includes('filled-share') ? 1 : 0);
      await made([id, '', '', ...Array(figures).fill(''), 'Bolt', '', 'Seal', '', 'Mark', '']);
      const ids = wholeProcedure(FILE).procedure.steps.map((step) => step.id);
      expect(ids).toEqual(expect.arrayContaining(['fastener-pattern', 'new-seals', 'fitting-marks']));
      expect(ids).toHaveLength(blank.steps.length + 3);
    },
  );
});

describe('check', () => {
  test('a procedure by itself, known by its first key', async () => {
    writeFileSync(FILE, PROCEDURE);
    expect(await checked(FILE)).toEqual({
      code: 0,
      said: [
        `${FILE} is good.`,
        '',
        'Procedure    A small job',
        'Name         bay-test, version 2',
        'Result       a level at the reference temperature',
        'Steps        12, with 2 cautions',
        'Watched      pressure, deep',
        '',
      ].join('\n'),
    });
    writeFileSync(FILE, PROCEDURE.replace('otherwise: adjust', 'otherwise: ajust'));
    const { code, said } = await checked(FILE);
    expect(code).toBe(1);
    expect(said).toContain(
      `${FILE}:57:26  no step is called "ajust": expected a step of this file; did you mean "adjust"?`,
    );
    expect(said.endsWith(`${FILE} has one mistake.\n`)).toBe(true);
  });

  test('one that has the name of a shipped one is told so', async () => {
    writeFileSync(FILE, PROCEDURE.replace('bay-test', 'gearbox-chart'));
    expect((await checked(FILE)).said).toContain('A procedure that comes with the software has this name');
  });

  const example = readFileSync(join(ROOT, 'docs/examples/bench.yaml'), 'utf8');
  const bench = join(folder, 'bench.yaml');
  const benchWith = (procedures: string, change: (text: string) => string = (text) => text): void =>
    writeFileSync(bench, change(example.replace('[north-bay-gearbox.yaml]', procedures)));

  test('those that a bench names, and what does not fit it', async () => {
    copyFileSync(join(ROOT, 'docs/examples/north-bay-gearbox.yaml'), join(folder, 'north.yaml'));
    benchWith('[north.yaml]', (text) => text.replace(/ {2}match:\n( {4}.*\n)+/, ''));
    const { code, said } = await checked(bench);
    expect(code, said).toBe(0);
    expect(said).toContain(
      '\nProcedures   north-bay-gearbox, version 4: North bay, fluid change on the small gearbox, 17 steps\n',
    );
    expect(said).toContain(
      'note: pressure: no channel "filling-pressure", so a person watches a gauge: pressure below 110 kPa.',
    );
    expect(said).toContain(
      'note: verdict decides by a verdict, and the bench has no measure.match: nothing can be within.',
    );
  });

  test('limits and targets that the channel cannot see, a channel of another kind', async () => {
    writeFileSync(
      join(folder, 'small.yaml'),
      PROCEDURE.replace('above: 2 cm', 'above: 2 mm')
        .replace('channel: filling', 'channel: temperature')
        .replace('read: target', 'enter: { high: { ask: Level, range: 300 mm to 400 mm, means: target-level } }'),
    );
    benchWith('[small.yaml]');
    const { said } = await checked(bench);
    expect(said).toContain(
      'note: pressure: "temperature" measures temperature, so a person watches a gauge: pressure below 150 kPa.',
    );
    expect(said).toContain('note: deep: 2 mm is outside the range of "level", 5 mm to 120 mm.');
    expect(said).toContain('note: high: 300 mm to 400 mm is outside the range of "level".');
  });

  test('a bench without fluid cannot tell how much', async () => {
    writeFileSync(join(folder, 'small.yaml'), PROCEDURE);
    const file = join(folder, 'plain.yaml');
    writeFileSync(
      file,
      [
        'bench: Plain',
        'instruments:',
        '  board: { driver: columns, separator: ";", columns: [t, l], link: { tcp: "192.0.2.7:4001" }, every: 500 ms }',
        'channels:',
        '  temperature: { from: board.t, unit: °C, uncertainty: 0.3 K }',
        '  level: { from: board.l, unit: mm, uncertainty: 0.2 mm, range: 5 mm to 120 mm }',
        'measure:',
        '  level: level',
        '  temperature: temperature',
        '  window: 46 °C to 54 °C',
        '  reference: 50 °C',
        '  compensation: { slope: 0.1 mm/K, uncertainty: 0.02 mm/K }',
        '  steady: { tolerance: 1.2 mm }',
        '  match: { tolerance: 1 mm }',
        'procedures: [small.yaml]',
        '',
      ].join('\n'),
    );
    const { code, said } = await checked(file);
    expect(code, said).toBe(0);
    expect(said).toContain('note: fill asks how much, and the bench has no fluid: the person must know the amount.');
    expect(said).toContain('note: scale shows mass, and the bench has no fluid: mass cannot be told as litres.');
  });

  test('mistakes in them, files that are missing, names that are taken', async () => {
    writeFileSync(join(folder, 'bad.yaml'), PROCEDURE.replace('by: jug', 'by: jar'));
    writeFileSync(join(folder, 'taken.yaml'), PROCEDURE.replace('bay-test', 'gearbox-chart'));
    writeFileSync(join(folder, 'one.yaml'), PROCEDURE);
    writeFileSync(join(folder, 'two.yaml'), PROCEDURE);
    benchWith('[bad.yaml, missing.yaml, taken.yaml, one.yaml, two.yaml]');
    const { code, said } = await checked(bench);
    expect(code).toBe(1);
    expect(said).toContain(`${join(folder, 'bad.yaml')}:9:25  "jar" is not known here`);
    expect(said).toContain(`${join(folder, 'missing.yaml')}: The procedure file cannot be read.`);
    expect(said).toContain(
      `${join(folder, 'taken.yaml')}: the name "gearbox-chart" belongs to a procedure that comes with the software`,
    );
    expect(said).toContain(`${join(folder, 'two.yaml')}: the name "bay-test" belongs to ${join(folder, 'one.yaml')}`);
    expect(said).not.toContain('is good');
  });
});

test('the compiled program finds those that come with it, and says how to go on', async () => {
  const list = stillwell('procedure', 'list');
  expect(await list.ended, list.output()).toBe(0);
  expect(list.output().match(/^[a-z-]+ {2,}/gm)).toHaveLength(4);
  const unanswered = stillwell('procedure', 'new', FILE);
  expect(await unanswered.ended).toBe(1);
  expect(unanswered.output()).toContain('No procedure was written. (nobody answers)');
  expect(existsSync(FILE)).toBe(false);
});
