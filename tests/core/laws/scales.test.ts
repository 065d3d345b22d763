import { describe, expect, test } from 'vitest';
import { divider } from '../../../src/core/laws/divider.ts';
import { lawOf } from '../../../src/core/laws/law-of.ts';
import { ntc, resistanceOhm, steinhartHart } from '../../../src/core/laws/ntc.ts';
import { platinumResistance } from '../../../src/core/laws/platinum-rtd.ts';
import { table } from '../../../src/core/laws/table.ts';
import { currentLoop, linear, ratiometric, twoPoint } from '../../../src/core/laws/two-point.ts';
import { CURVES } from '../../reference/monotone-cubic.ts';
import { BETA_EXAMPLE, DIVIDER_EXAMPLE } from '../../reference/thermistors.ts';

describe('4–20 mA', () => {
  const loop = currentLoop({ kind: 'current-loop', at4: 0, at20: 160, unit: 'mm' });

  test.each([
    [4, 0],
    [8, 40],
    [12, 80],
    [20, 160],
    [3.8, -2],
    [20.5, 165],
  ])('reads %d mA as %d mm', (mA, mm) => {
    const { value, derivative, flag } = loop.at(mA, {});
    expect(value).toBeCloseTo(mm, 12);
    expect(derivative).toBe(10);
    expect(flag).toBeNull();
  });

  // NAMUR NE 43 (2003): 3.8 to 20.5 mA measured value, up to 3.6 and from 21 mA failure.
  test.each([
    [0, 'broken-loop', -2],
    [3.5999, 'broken-loop', -2],
    [3.6, 'broken-loop', -2],
    [3.6001, 'out-of-range', -2],
    [3.7999, 'out-of-range', -2],
    [20.5001, 'out-of-range', 165],
    [20.9999, 'out-of-range', 165],
    [21, 'failure-current', 165],
    [24, 'failure-current', 165],
    [Number.NaN, 'broken-loop', -2],
  ] as const)('flags %d mA as %s and holds the nearer end', (mA, flag, held) => {
    const result = loop.at(mA, {});
    expect(result.flag).toBe(flag);
    expect(result.value).toBeCloseTo(held, 12);
    expect(result.derivative).toBe(0);
  });

  test('may fall: a sensor that looks down', () => {
    const down = currentLoop({ kind: 'current-loop', at4: 160, at20: 0, unit: 'mm' });
    expect(down.at(8, {})).toMatchObject({ value: 120, derivative: -10, flag: null });
  });
});

describe('other straight scales', () => {
  test('0–10 V through its two points, with a little room for noise', () => {
    const law = twoPoint({
      kind: 'two-point',
      points: [
        { signal: 0, value: -20 },
        { signal: 10, value: 180 },
      ],
      signalUnit: 'V',
      unit: 'Cel',
      validSignal: { low: -0.05, high: 10.2 },
    });
    expect(law.at(5, {})).toMatchObject({ value: 80, derivative: 20, flag: null });
    expect(law.at(-0.02, {}).flag).toBeNull();
    expect(law.at(-0.06, {})).toMatchObject({ value: -21, derivative: 0, flag: 'out-of-range' });
  });

  test('an instrument that speaks in units already', () => {
    const fahrenheit = linear({
      kind: 'linear',
      gain: 5 / 9,
      offset: -160 / 9,
      signalUnit: '[degF]',
      unit: 'Cel',
      validSignal: { low: -40, high: 400 },
    });
    expect(fahrenheit.at(212, {}).value).toBeCloseTo(100, 12);
    expect(fahrenheit.at(-40, {}).value).toBeCloseTo(-40, 12);
  });

  test('ratiometric: supply and signal that droop together leave the value alone', () => {
    const law = ratiometric({
      kind: 'ratiometric',
      points: [
        { signal: 0.1, value: 0 },
        { signal: 0.9, value: 40 },
      ],
      unit: 'kPa',
      validRatio: { low: 0.05, high: 0.95 },
      validSupplyV: { low: 4.5, high: 5.5 },
    });
    expect(law.at(2.5, { supplyV: 5 }).value).toBeCloseTo(20, 12);
    expect(law.at(2.4, { supplyV: 4.8 }).value).toBeCloseTo(20, 12);
    expect(law.at(2.5, { supplyV: 5 }).partials.supplyV).toBeCloseTo(-5, 12);
    expect(law.at(4.8, { supplyV: 5 }).flag).toBe('out-of-range');
    expect(law.at(2.5, { supplyV: 6 })).toMatchObject({ flag: 'context-out-of-range', partials: { supplyV: 0 } });
    expect(law.at(2.5, {})).toMatchObject({ flag: 'context-missing', partials: { supplyV: 0 } });
  });

  test('a scale whose points coincide, or whose range is empty, is refused', () => {
    expect(() => currentLoop({ kind: 'current-loop', at4: 5, at20: 5, unit: 'mm' })).toThrow('must differ');
    const limits = { kind: 'linear', gain: 1, offset: 0, signalUnit: 'mm', unit: 'mm' } as const;
    expect(() => linear({ ...limits, validSignal: { low: 3, high: 3 } })).toThrow('the valid signals must run');
    expect(() => linear({ ...limits, gain: 1e300, validSignal: { low: 0, high: 1e300 } })).toThrow('gives no number');
  });
});

describe('a divider', () => {
  const law = divider({
    kind: 'divider',
    fixedOhm: DIVIDER_EXAMPLE.fixedOhm,
    fullScaleCounts: 4096,
    sensorTo: 'ground',
    guardCounts: 16,
  });

  test('gives the resistance of the example', () => {
    expect(law.at(DIVIDER_EXAMPLE.fraction * 4096, {}).value).toBeCloseTo(DIVIDER_EXAMPLE.ohm, 9);
  });

  test('is the mirror image with the sensor on the supply', () => {
    const mirror = divider({
      kind: 'divider',
      fixedOhm: 10000,
      fullScaleCounts: 4096,
      sensorTo: 'supply',
      guardCounts: 16,
    });
    for (const counts of [17, 1024, 4000])
      expect(mirror.at(4096 - counts, {}).value).toBeCloseTo(law.at(counts, {}).value, 8);
    expect(mirror.at(3, {}).flag).toBe('open-circuit');
    expect(mirror.at(4095, {}).flag).toBe('short-circuit');
  });

  test('tells a bridged sensor from an open one', () => {
    expect(law.at(3, {}).flag).toBe('short-circuit');
    expect(law.at(4095, {}).flag).toBe('open-circuit');
    expect(law.at(16, {}).flag).toBeNull();
    expect(law.at(4080, {}).flag).toBeNull();
  });

  test('carries a thermistor: counts to °C, flags of both', () => {
    const curve = {
      form: 'beta',
      r0Ohm: BETA_EXAMPLE.r0Ohm,
      t0C: BETA_EXAMPLE.t0C,
      betaK: BETA_EXAMPLE.betaK,
    } as const;
    const sensor = { kind: 'ntc', curve, validC: { low: -20, high: 120 } } as const;
    const both = lawOf({
      kind: 'chain',
      first: { kind: 'divider', fixedOhm: 10000, fullScaleCounts: 4096, sensorTo: 'ground', guardCounts: 16 },
      second: sensor,
    });
    const counts = (tC: number) => {
      const ohm = resistanceOhm(steinhartHart(curve), tC);
      return (4096 * ohm) / (ohm + 10000);
    };
    expect(both).toMatchObject({ signalUnit: '{count}', unit: 'Cel' });
    for (const tC of [-19, 25, 60, 119]) expect(both.at(counts(tC), {}).value).toBeCloseTo(tC, 9);
    expect(both.at(counts(-30), {})).toMatchObject({ flag: 'out-of-range', derivative: 0 });
    expect(both.at(4095, {}).flag).toBe('open-circuit');
    const { low, high } = both.validSignal({});
    expect(low).toBeCloseTo(counts(120), 6);
    expect(high).toBeCloseTo(counts(-20), 6);
    expect(both.source).toContain(ntc(sensor).source);
  });

  test('refuses a chain whose units do not meet', () => {
    expect(() =>
      lawOf({
        kind: 'chain',
        first: { kind: 'current-loop', at4: 0, at20: 40, unit: 'kPa' },
        second: { kind: 'platinum-rtd', r0Ohm: 100 },
      }),
    ).toThrow('gives kPa cannot feed one that takes Ohm');
  });
});

describe('a current loop that carries a pressure', () => {
  test('gives the level, and how it moves with density and gravity', () => {
    const law = lawOf({
      kind: 'chain',
      first: { kind: 'current-loop', at4: 0, at20: 4, unit: 'kPa' },
      second: { kind: 'hydrostatic', sensorMm: 10, airDensityKgPerM3: 0, validMm: { low: 10, high: 300 } },
    });
    const { value, derivative, partials, flag } = law.at(8, { densityKgPerM3: 850, gravityMPerS2: 9.81 });
    expect(value).toBeCloseTo(10 + 1e6 / (850 * 9.81), 9);
    expect(derivative).toBeCloseTo((0.25 * 1e6) / (850 * 9.81), 9);
    expect(partials.densityKgPerM3).toBeCloseTo(-1e6 / (850 * 850 * 9.81), 9);
    expect(flag).toBeNull();
    expect(law.at(3, { densityKgPerM3: 850, gravityMPerS2: 9.81 }).flag).toBe('broken-loop');
  });
});

describe('a sender by its table', () => {
  test('follows the monotone cubic of the reference', () => {
    const [{ x, y, at, values }] = CURVES;
    const law = table({
      kind: 'table',
      points: x.map((signal, i) => ({ signal, value: y[i] as number })),
      signalUnit: 'Ohm',
      unit: 'mm',
    });
    for (const [i, signal] of at.entries()) expect(law.at(signal, {}).value).toBeCloseTo(values[i] as number, 13);
    expect(law.validSignal({})).toEqual({ low: 7.99, high: 20 });
    expect(law.at(7, {})).toMatchObject({ value: 0, derivative: 0, flag: 'out-of-range' });
  });

  test('may fall, and must not stand still', () => {
    const points = [
      { signal: 10, value: 120 },
      { signal: 80, value: 60 },
      { signal: 180, value: 0 },
    ];
    const law = table({ kind: 'table', points, signalUnit: 'Ohm', unit: 'mm' });
    expect(law.at(80, {}).value).toBe(60);
    expect(law.at(50, {}).derivative).toBeLessThan(0);
    const flat = [...points, { signal: 200, value: 0 }];
    expect(() => table({ kind: 'table', points: flat, signalUnit: 'Ohm', unit: 'mm' })).toThrow('must rise throughout');
  });
});

test('a description stands for one law, made once, and survives being written down', () => {
  const description = { kind: 'platinum-rtd', r0Ohm: 1000 } as const;
  expect(lawOf(description)).toBe(lawOf(description));
  const again = lawOf(JSON.parse(JSON.stringify(description)));
  expect(again.at(platinumResistance(1000, 80).value, {})).toEqual(
    lawOf(description).at(platinumResistance(1000, 80).value, {}),
  );
});
