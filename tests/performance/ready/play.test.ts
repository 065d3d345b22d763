import { expect, test } from 'vitest';
import { drivers } from '../../../drivers/index.ts';
import { generateBench } from '../../../simulators/seeded-bench/generate.ts';
import { drawParameters } from '../../../simulators/seeded-bench/parameters.ts';
import { loadBench } from '../../../src/config/load.ts';
import { benchFile } from './bench-file.ts';
import { evaluate } from './one-bench.ts';
import { csv, play } from './play.ts';
import { report } from './report.ts';

/** The first seed that sends seldom, which is soon played. */
const SLOW = Array.from({ length: 100 }, (_, i) => i + 1).find((seed) => {
  const { intervalS } = drawParameters(seed).gauge;
  return intervalS > 0.3 && intervalS < 0.8;
}) as number;

test('every seed’s bench file is one that the product takes', () => {
  for (let seed = 1; seed <= 60; seed++) {
    const loaded = loadBench(benchFile(drawParameters(seed)), 'bench.yaml', drivers);
    expect(loaded.ok ? [] : loaded.mistakes).toEqual([]);
  }
});

test('the log holds what was sent and nothing of the truth', async () => {
  const bench = generateBench(SLOW);
  let text = '';
  for await (const chunk of csv(bench)) text += chunk;
  const [header, ...rows] = text.trimEnd().split('\n');
  expect(header).toMatch(/^time,temperature,level(,q)?$/);
  expect(rows).toHaveLength(bench.rows.length);
});

test('a bench goes through the product twice the same, and the product decodes every level', async () => {
  const bench = generateBench(SLOW);
  const [a, b] = [await play(bench), await play(bench)];
  expect(b).toEqual(a);
  expect(a.levels.length).toBeGreaterThan(0.7 * bench.rows.filter(({ level }) => level !== null).length);
  expect(a.openings.length).toBeGreaterThan(0);
});

test('the table names ours, the oracle and the 18 settings, and its judgement', async () => {
  const { score } = await evaluate(SLOW);
  const text = report([score]);
  expect(text.match(/^\| spread over \d+ s within [123] × tolerance/gm)).toHaveLength(18);
  expect(text).toContain('| **ours** |');
  expect(text).toContain('| oracle |');
  expect(text).toMatch(/as good or better on all three/i);
});
