/** The example in the docs is what it says: a whole bench without mistakes, with every key in it. */
import { readFileSync } from 'node:fs';
import { dirname, join, resolve } from 'node:path';
import { expect, test } from 'vitest';
import { drivers } from '../../drivers/index.ts';
import { KEY_DOCS } from '../../src/config/fields.ts';
import { loadBench } from '../../src/config/load.ts';
import { SECTIONS } from '../../src/config/schema.ts';
import { ROOT } from '../repo/house.ts';
import { BENCH } from './bench-text.ts';
import { REGISTRY } from './drivers.ts';

const FILE = join(ROOT, 'docs/examples/bench.yaml');
const text = readFileSync(FILE, 'utf8');

test('the example is a bench without mistakes', () => {
  expect(loadBench(text, FILE, drivers)).toEqual({
    ok: true,
    bench: {
      name: 'North bay',
      instruments: [
        {
          id: 'probe',
          driver: 'pattern',
          options: { pattern: 'T={temp} C' },
          link: { kind: 'serial', path: '/dev/serial/by-id/usb-bath-probe-0001', baud: 115_200 },
          intervalUs: 500_000,
        },
        {
          id: 'sonar',
          driver: 'columns',
          options: { separator: ';', columns: ['_', 'level', '_'], blanks: 'discard' },
          link: { kind: 'tcp', host: '192.0.2.7', port: 4001 },
          intervalUs: 200_000,
        },
      ],
      channels: [
        {
          id: 'temperature',
          instrument: 'probe',
          signal: 'temp',
          quantity: 'temperature',
          law: { kind: 'linear', gain: 1, offset: 0 },
          resolution: 0.01,
          standardUncertainty: 0.3,
          range: { low: -20, high: 150 },
          intervalUs: 1_000_000,
          sentinels: [],
          echo: null,
        },
        {
          id: 'level',
          instrument: 'sonar',
          signal: 'level',
          quantity: 'length',
          law: { kind: 'linear', gain: 1, offset: 0 },
          resolution: 0.01,
          standardUncertainty: 0.1,
          range: { low: 5, high: 200 },
          intervalUs: 200_000,
          sentinels: [],
          echo: null,
        },
      ],
      measure: {
        levelChannel: 'level',
        temperatureChannel: 'temperature',
        window: { lowC: 46, highC: 54, hysteresisK: 0.3 },
        referenceC: 50,
        compensation: { kind: 'slope', mmPerK: 0.25, uMmPerK: 0.03 },
        steady: { overUs: 6_000_000, spreadMm: 1.2, driftMmPerMin: 2 },
      },
    },
    settings: { journal: join(ROOT, 'docs/examples/north-bay.journal'), port: 8720 },
  });
});

test('every key of the schema stands in the example', () => {
  const keys = SECTIONS.flatMap(({ schema }) => Object.keys(schema.shape));
  expect(keys.filter((key) => !new RegExp(`(^|[{,])\\s*${key}:`, 'm').test(text))).toEqual([]);
});

test('every key is documented with an example that is understood', () => {
  for (const { title, schema } of SECTIONS) {
    for (const [name, field] of Object.entries(schema.shape)) {
      const doc = KEY_DOCS.get(field);
      expect(doc, `${title}: ${name}`).toBeDefined();
      if (doc === undefined || doc.example.includes('…') || doc.example.startsWith('{')) continue;
      const value = doc.example.replace(/^"|"$/g, '');
      expect(field.safeParse(value).success, `${title}: ${name}: ${value}`).toBe(true);
    }
  }
});

test('limits in the documentation are those of the schema', () => {
  let limits = 0;
  for (const { schema } of SECTIONS) {
    for (const field of Object.values(schema.shape)) {
      const [, low, lowUnit, high, highUnit] =
        / from ([\d.]+) (\S+) to ([\d.]+) (\S+)/.exec(KEY_DOCS.get(field)?.form ?? '') ?? [];
      if (low === undefined) continue;
      limits++;
      const fits = (value: number, unit: string | undefined): boolean => field.safeParse(`${value} ${unit}`).success;
      expect([fits(Number(low), lowUnit), fits(0.9 * Number(low), lowUnit)]).toEqual([true, false]);
      expect([fits(Number(high), highUnit), fits(1.1 * Number(high), highUnit)]).toEqual([true, false]);
    }
  }
  expect(limits).toBe(3);
});

test('what is left out takes its default, and nothing of the result can be changed', () => {
  const loaded = loadBench(BENCH, '/bay/bench.yaml', REGISTRY);
  if (!loaded.ok) throw new Error('the bench has mistakes');
  const { bench, settings } = loaded;
  expect(settings).toEqual({ journal: null, port: null });
  expect(bench.measure.window.hysteresisK).toBe(0.3);
  const [oil, depth] = bench.channels;
  expect(oil).toMatchObject({ resolution: 0, intervalUs: 500_000, law: { gain: 1, offset: 0 } });
  expect(depth).toMatchObject({ range: { low: 0, high: 20_000 }, intervalUs: 200_000 });
  const parts = (value: unknown): unknown[] =>
    typeof value === 'object' && value !== null ? [value, ...Object.values(value).flatMap(parts)] : [];
  expect(parts(loaded).filter((part) => !Object.isFrozen(part))).toEqual([]);
  expect(structuredClone(bench)).toEqual(bench);
});

test('scale and unit are folded into one law', () => {
  const law = (unit: string, scale: string): unknown => {
    const changed = BENCH.replace('    unit: °C\n', `    unit: ${unit}\n    scale: ${scale}\n`);
    const loaded = loadBench(changed, '/bay/bench.yaml', REGISTRY);
    return loaded.ok ? loaded.bench.channels[0]?.law : loaded.mistakes;
  };
  expect(law('°F', '{}')).toEqual({ kind: 'linear', gain: 5 / 9, offset: -32 * (5 / 9) });
  expect(law('K', '{ gain: 0.1 }')).toEqual({ kind: 'linear', gain: 0.1, offset: -273.15 });
  // 0.5 × 200 + 22 = 122 °F = 50 °C
  const { gain, offset } = law('°F', '{ gain: 0.5, offset: 22 }') as { gain: number; offset: number };
  expect(gain * 200 + offset).toBeCloseTo(50, 12);
});

test('relative paths begin at the folder of the file, names of the system are left alone', () => {
  const at = (serial: string, file: string, dir?: string): unknown => {
    const changed = BENCH.replace('/dev/ttyACM0', serial).concat('journal: record/east.journal\n');
    const loaded = loadBench(changed, file, REGISTRY, ...(dir === undefined ? [] : [dir]));
    if (!loaded.ok) return loaded.mistakes;
    const link = loaded.bench.instruments[0]?.link;
    return [link?.kind === 'serial' ? link.path : null, loaded.settings.journal];
  };
  expect(at('./probe.tty', '/bay/bench.yaml')).toEqual(['/bay/probe.tty', '/bay/record/east.journal']);
  expect(at('COM3', '/bay/bench.yaml')).toEqual(['COM3', '/bay/record/east.journal']);
  expect(at('/dev/ttyS1', 'bench.yaml', '/hall')).toEqual(['/dev/ttyS1', '/hall/record/east.journal']);
  expect(at('../a', 'bench.yaml')).toEqual([
    resolve('../a'),
    join(dirname(resolve('bench.yaml')), 'record/east.journal'),
  ]);
});

test.each([
  ['192.0.2.7:4001', '192.0.2.7', 4001],
  ['bridge.example:80', 'bridge.example', 80],
  ['[2001:db8::7]:4001', '2001:db8::7', 4001],
])('the address %s', (address, host, port) => {
  const loaded = loadBench(BENCH.replace('192.0.2.7:4001', address), '/bay/bench.yaml', REGISTRY);
  expect(loaded.ok && loaded.bench.instruments[1]?.link).toEqual({ kind: 'tcp', host, port });
});
