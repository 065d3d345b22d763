import { readFileSync, writeFileSync } from 'node:fs';
import { mkdtemp, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { type BudgetOptions, budget } from '../../src/commands/budget.ts';
import { ROOT } from '../repo/house.ts';
import { stillwell } from '../support/cli.ts';

const EXAMPLE = join(ROOT, 'docs/examples/bench.yaml');

describe('stillwell budget', () => {
  let dir = '';
  beforeAll(async () => {
    dir = await mkdtemp(join(tmpdir(), 'stillwell-budget-'));
  });
  afterAll(() => rm(dir, { recursive: true, force: true }));

  function told(change: readonly [from: string, to: string][] = [], options: BudgetOptions = {}) {
    let text = readFileSync(EXAMPLE, 'utf8');
    for (const [from, to] of change) {
      expect(text).toContain(from);
      text = text.replace(from, to);
    }
    const file = join(dir, 'bench.yaml');
    writeFileSync(file, text);
    let said = '';
    const code = budget(file, options, { write: (part) => (said += part) });
    return { code, said };
  }

  test('states what it assumes, how sure the reading would be, and the largest contributor with its remedy', () => {
    const { code, said } = told([], { level: 62 });
    expect(code).toBe(0);
    expect(said).toMatch(/^North bay: the next reading of level\n/);
    expect(said).toContain('Assumed: ready at 50.0 °C, the level at 62 mm as measured,\n');
    expect(said).toContain('noise of 0.4 mm in each of 30 values');
    expect(said).toContain('vehicle at 20 °C');
    expect(said).toMatch(/^62\.0 mm at 50\.0 °C, sure to three millimetres\n±2\.4 mm for about 95 %, 1\.96 × /m);
    // 25 m/s, and 0.3 m/s per kelvin over 30 K, in 59 mm of oil at 1335 m/s: 1.10 mm and 0.40 mm.
    expect(said).toMatch(/^speed of sound \(level\) +25 m\/s normal +0\.044 mm +1\.1 mm +\d\d %/m);
    expect(said).toMatch(
      /^temperature coefficient of the speed of sound \(level\) +9 m\/s normal +0\.044 mm +0\.4 mm/m,
    );
    expect(said).toMatch(/^The largest: speed of sound \(level\), \d\d % of the variance\.$/m);
    expect(said).toContain('So: calibrate the speed of sound in the fluid itself.');
  });

  test('the effect of halving is that of a bench whose uncertainty is half as large', () => {
    const promised = /Halving it makes ±2\.4 mm into ±(\S+) mm/.exec(told([], { level: 62 }).said)?.[1];
    const half: [string, string] = ['uncertainty: 25 m/s', 'uncertainty: 12.5 m/s'];
    expect(told([half], { level: 62 }).said).toContain(`±${promised} mm for about 95 %`);
  });

  test('without a level it takes the middle of the range, and says so', () => {
    expect(told().said).toContain('the level at 62.5 mm as measured (the middle of its range; --level)');
  });

  test('tells what a match could tell, in which the speed of sound has cancelled', () => {
    const { said } = told([], { level: 62 });
    expect(said).toContain('A match of two such readings: ±0.7 mm; ±1 mm is allowed.');
    expect(said).toMatch(
      /A level within ±0\.\d+ mm of the target is sure to be within\.\nMost of its doubt: refitting/,
    );
    const fixed: [string, string] = [
      '    tolerance: 1 mm',
      '    tolerance: 1 mm\n    target: { level: 62 mm, uncertainty: 0.3 mm }',
    ];
    expect(told([fixed]).said).toContain(
      'Held against the fixed target: ±2.5 mm; ±1 mm is allowed.\nNo level would be sure',
    );
  });

  test('a level outside the range of its channel is refused', () => {
    const { code, said } = told([], { level: 300 });
    expect([code, said]).toEqual([1, '300 mm is outside the range of the channel "level", 5 to 120 mm.\n']);
  });

  test('a bench with a mistake is told where', () => {
    expect(() => told([['longest: 2 min', 'longets: 2 min']])).toThrow(/longets/);
  });

  test('runs from the command line', async () => {
    const cli = stillwell('budget', EXAMPLE, '--level', '62', '--temperature', '47.5');
    expect(await cli.ended).toBe(0);
    expect(cli.output()).toContain('ready at 47.5 °C, the level at 62 mm');
    const wrong = stillwell('budget', EXAMPLE, '--level', 'high');
    expect(await wrong.ended).toBe(1);
    expect(wrong.output()).toContain('It takes a number');
  });
});
