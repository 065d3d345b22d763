/** The example in the docs is what it says: a whole bench without mistakes, with every key in it. */
import { readFileSync } from 'node:fs';
import { dirname, join, resolve } from 'node:path';
import { expect, test } from 'vitest';
import { parse } from 'yaml';
import { drivers } from '../../drivers/index.ts';
import { KEY_DOCS } from '../../src/config/fields.ts';
import { loadBench } from '../../src/config/load.ts';
import { SECTIONS } from '../../src/config/schema.ts';
import { ROOT } from '../repo/house.ts';
import { identity } from '../support/bench.ts';
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
          options: { pattern: 'R={resistance} ohm' },
          link: {
            kind: 'serial',
            find: { by: 'path', path: '/dev/serial/by-id/usb-bath-probe-0001' },
            baud: 115_200,
            identify: null,
          },
          intervalUs: 500_000,
        },
        {
          id: 'sonar',
          driver: 'columns',
          options: { separator: ';', columns: ['_', 'flight', 'q'], blanks: 'discard' },
          link: { kind: 'tcp', host: '192.0.2.7', port: 4001 },
          identity: 'gauge 0017',
          intervalUs: 200_000,
        },
      ],
      channels: [
        {
          id: 'temperature',
          instrument: 'probe',
          signal: 'resistance',
          quantity: 'temperature',
          law: { kind: 'platinum-rtd', r0Ohm: 100 },
          context: {},
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
          signal: 'flight',
          quantity: 'length',
          law: { kind: 'echo-from-below', faceMm: 3, deadTimeUs: 2, validMm: { low: 5, high: 120 } },
          context: { soundMPerS: { kind: 'fluid', property: 'sound', temperatureChannel: 'temperature' } },
          resolution: 0.01,
          standardUncertainty: 0.1,
          range: { low: 5, high: 120 },
          intervalUs: 200_000,
          sentinels: [999.9, 65_535],
          echo: { strengthSignal: 'q', leastStrength: 40, nearest: 8 },
        },
        {
          id: 'vehicle',
          instrument: 'typed',
          signal: '',
          quantity: 'temperature',
          law: identity('Cel'),
          context: {},
          resolution: 0,
          standardUncertainty: 1,
          range: { low: -80, high: 400 },
          intervalUs: 40_000_000,
          sentinels: [],
          echo: null,
        },
      ],
      measure: {
        levelChannel: 'level',
        temperatureChannel: 'temperature',
        window: { lowC: 46, highC: 54, hysteresisK: 0.3 },
        referenceC: 50,
        referenceFrom: 'bench',
        compensation: { kind: 'vessel-and-fluid' },
        match: {
          toleranceMm: 1,
          rule: { by: 'probability', probability: 0.95 },
          refitMm: 0.15,
          refits: 6,
          newFluidMm: 0.2,
          target: null,
        },
        zeroLimitMm: 0.3,
        probeLag: { s: 6, uS: 2 },
        uStemK: 0.2,
        steady: {
          toleranceMm: 1,
          confidence: 0.98,
          wavesMm: 1.5,
          settlingUs: 20_000_000,
          longestUs: 120_000_000,
        },
      },
      fluid: {
        kind: 'single',
        name: 'gear oil',
        density: { kind: 'lubricating-oil', at15KgPerM3: 870, uKgPerM3: 2, uExpansionPerK: 7.5e-5 },
        sound: {
          kind: 'linear',
          atC: 20,
          mPerS: 1440,
          uMPerS: 25,
          perK: -3.5,
          uPerK: 0.3,
          lowC: 0,
          highC: 100,
          source: 'handbook',
        },
      },
      vessel: {
        name: 'vessel',
        shape: {
          kind: 'strapping-table',
          points: [
            { mm: 0, litres: 0 },
            { mm: 40, litres: 1.65 },
            { mm: 80, litres: 3.36 },
            { mm: 120, litres: 5.12 },
          ],
        },
        floorAtMm: 0,
        uVolumeShare: 0.01,
        wall: { linearPerK: 1.2e-5, uLinearPerK: 1e-6, atC: 20 },
        sensor: { kind: 'known', alongMm: 40, acrossMm: -25 },
        tilt: { alongDeg: 0.4, acrossDeg: 0, uDeg: 0.2 },
      },
      circuit: {
        states: [
          { id: 'cooler-shut', litres: 1.4, uLitres: 0.1 },
          { id: 'cooler-open', litres: 2.1, uLitres: 0.1 },
        ],
        wall: { linearPerK: 2.3e-5, uLinearPerK: 2e-6, atC: 20 },
        temperatureChannel: null,
        uTemperatureK: 5,
        opens: { lowC: 72, highC: 80 },
      },
      machineStates: ['idling in park', 'idling in neutral'],
      alarms: [
        {
          id: 'overheated',
          channel: 'temperature',
          side: 'above',
          limit: 92,
          deadband: 3,
          onDelayUs: 5_000_000,
          offDelayUs: 30_000_000,
          priority: 'high',
          message: 'Stop heating, keep clear of the hot fluid, and let it cool.',
        },
        {
          id: 'low-level',
          channel: 'level',
          side: 'below',
          limit: 18,
          deadband: 2,
          onDelayUs: 3_000_000,
          offDelayUs: 0,
          priority: 'high',
          message: 'Stop the engine. The pump may draw air. Then look for the leak, or fill to the minimum.',
          whileMachine: ['idling in park', 'idling in neutral'],
        },
      ],
    },
    settings: {
      journal: join(ROOT, 'docs/examples/north-bay.journal'),
      port: 8720,
      procedures: [join(ROOT, 'docs/examples/north-bay-gearbox.yaml')],
    },
  });
});

/** Where one of several stands in a file: the reference has them all, each with an example of its own. */
const ONE_OF_SEVERAL = /\.law(\.|$)|^fluid(\.|$)|^vessel\.(shape|sensor)|^measure\.compensation/;

test('every key of the schema stands in the example', () => {
  const keys = SECTIONS.filter(({ at }) => !ONE_OF_SEVERAL.test(at)).flatMap(({ schema }) => Object.keys(schema.shape));
  expect(keys.filter((key) => !new RegExp(`(^|[{,])\\s*${key}:`, 'm').test(text))).toEqual([]);
});

test('every key is documented with an example that is understood', () => {
  for (const { title, schema } of SECTIONS) {
    for (const [name, field] of Object.entries(schema.shape)) {
      const doc = KEY_DOCS.get(field);
      expect(doc, `${title}: ${name}`).toBeDefined();
      if (doc === undefined || doc.example.includes('…')) continue;
      const block = /^[{[]|^true$/.test(doc.example);
      const value: unknown = block ? parse(doc.example) : doc.example.replace(/^"|"$/g, '');
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
  expect(limits).toBe(8);
});

test('what is left out takes its default, and nothing of the result can be changed', () => {
  const loaded = loadBench(BENCH, '/bay/bench.yaml', REGISTRY);
  if (!loaded.ok) throw new Error('the bench has mistakes');
  const { bench, settings } = loaded;
  expect(settings).toEqual({ journal: null, port: null, procedures: [] });
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
  expect(law('°F', '{}')).toEqual({
    ...identity('Cel'),
    signalUnit: '[degF]',
    gain: 5 / 9,
    offset: -32 * (5 / 9),
  });
  expect(law('K', '{ gain: 0.1 }')).toEqual({ ...identity('Cel'), signalUnit: 'K', gain: 0.1, offset: -273.15 });
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
    return [link?.kind === 'serial' && link.find.by === 'path' ? link.find.path : null, loaded.settings.journal];
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
