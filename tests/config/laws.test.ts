/** Laws, fluid and vessel in the bench file: what they come to, and what is said of those that cannot hold. */
import { describe, expect, test } from 'vitest';
import { loadBench } from '../../src/config/load.ts';
import type { ChannelDescription } from '../../src/core/description.ts';
import { fluidOf } from '../../src/core/fluids/fluid.ts';
import { localGravity } from '../../src/core/laws/gravity.ts';
import { lawOf } from '../../src/core/laws/law-of.ts';
import { vesselOf } from '../../src/core/vessels/vessel.ts';
import { broken, type Change, tell } from './bench-text.ts';
import { REGISTRY } from './drivers.ts';

const LEVEL = '    from: gauge.level\n    unit: mm\n    resolution: 0.01 mm\n    uncertainty: 0.1 mm\n';
const OIL = '    from: probe.temp\n    unit: °C\n    uncertainty: 0.3 K\n    range: -20 °C to 150 °C\n';
const FLUID =
  'fluid:\n  density: { lubricating-oil: { at-15-C: 870 kg/m3, uncertainty: 2 kg/m3 } }\n  sound: { linear: { at: 20 °C, speed: 1440 m/s, uncertainty: 25 m/s, per-kelvin: -3.5 m/s/K, per-kelvin-uncertainty: 0.3 m/s/K, valid: 0 °C to 100 °C, source: handbook } }\n';

function levelBy(unit: string, law: string, more = ''): Change {
  return [LEVEL, `    from: gauge.level\n    unit: ${unit}\n    law: ${law}\n    uncertainty: 0.1 mm\n${more}`];
}

function oilBy(unit: string, law: string, more = '    uncertainty: 0.3 K\n'): Change {
  return [OIL, `    from: probe.temp\n    unit: ${unit}\n    law: ${law}\n    range: 0 °C to 150 °C\n${more}`];
}

function load(text: string) {
  const loaded = loadBench(text, '/bay/bench.yaml', REGISTRY);
  if (!loaded.ok) throw new Error(loaded.mistakes.map(({ line, words }) => `${line} ${words}`).join('\n'));
  return loaded.bench;
}

function channelOf(id: 'depth' | 'oil', ...changes: readonly Change[]): ChannelDescription {
  const channel = load(broken(...changes)).channels.find((one) => one.id === id);
  if (channel === undefined) throw new Error(id);
  return channel;
}

/** The value of a raw number, with a context given by hand. */
function at(channel: ChannelDescription, signal: number, context: Parameters<ReturnType<typeof lawOf>['at']>[1] = {}) {
  const { value, flag } = lawOf(channel.law).at(signal, context);
  return { value: Math.round(value * 1e6) / 1e6, flag };
}

describe('laws of a level', () => {
  test('a current loop, in mA or A, with its failure currents', () => {
    const inMa = channelOf('depth', levelBy('mA', '{ current-loop: { at-4-mA: 0 mm, at-20-mA: 250 mm } }'));
    expect([4, 12, 20].map((mA) => at(inMa, mA))).toEqual([0, 125, 250].map((value) => ({ value, flag: null })));
    expect(at(inMa, 3.5).flag).toBe('broken-loop');
    const inA = channelOf('depth', levelBy('A', '{ current-loop: { at-4-mA: 0 in, at-20-mA: 10 in } }'));
    expect(at(inA, 0.012)).toEqual({ value: 127, flag: null });
  });

  test('two points, a table, a share of a measured supply', () => {
    const volts = channelOf('depth', levelBy('mV', '{ two-point: { points: [[0 V, 0 mm], [10 V, 250 mm]] } }'));
    expect(at(volts, 5000)).toEqual({ value: 125, flag: null });
    expect(at(volts, 10_001).flag).toBe('out-of-range');
    const wider = channelOf(
      'depth',
      levelBy('V', '{ two-point: { points: [[0 V, 0 mm], [10 V, 250 mm]], valid: [-100 mV, 10.2 V] } }'),
    );
    expect([10.2, -0.1, 10.3].map((volt) => at(wider, volt).flag)).toEqual([null, null, 'out-of-range']);
    const sender = channelOf(
      'depth',
      levelBy('Ohm', '{ table: { points: [[10 Ohm, 0 mm], [72 Ohm, 90 mm], [180 Ohm, 200 mm]] } }'),
    );
    expect(at(sender, 72)).toEqual({ value: 90, flag: null });
    expect(at(sender, 200).flag).toBe('out-of-range');
    const share = channelOf(
      'depth',
      levelBy(
        'V',
        '{ ratiometric: { points: [[10 %, 0 mm], [90 %, 240 mm]], valid: 5 % to 95 %, supply: 5 V, supply-uncertainty: 0.02 V, supply-range: 4.5 V to 5.5 V } }',
      ),
    );
    expect(share.context).toEqual({ supplyV: { kind: 'constant', value: 5, u: 0.02 } });
    expect(at(share, 2.5, { supplyV: 5 })).toEqual({ value: 120, flag: null });
  });

  test('one law behind the other, in the order of the signal however they are written', () => {
    const head = channelOf(
      'depth',
      levelBy(
        'mA',
        '{ hydrostatic: { density: 1000 kg/m3, air-density: 0 kg/m3 }, current-loop: { at-4-mA: 0 kPa, at-20-mA: 16 kPa } }',
        '    range: 0 mm to 2 m\n',
      ),
    );
    expect(at(head, 13.80665, { densityKgPerM3: 1000, gravityMPerS2: 9.80665 })).toEqual({ value: 1000, flag: null });
    expect(head.context.densityKgPerM3).toEqual({ kind: 'constant', value: 1000, u: 5 });
  });

  test('gravity by latitude and altitude, or the mean of the globe with its spread', () => {
    const gravity = (keys: string) =>
      channelOf('depth', levelBy('kPa', `{ hydrostatic: { density: 870 kg/m3${keys} } }`)).context.gravityMPerS2;
    expect(gravity(', latitude: 52.5 deg, altitude: 250 m')).toMatchObject({ value: localGravity(52.5, 250).mPerS2 });
    expect(gravity(', gravity: 9.812 m/s2')).toMatchObject({ value: 9.812 });
    expect(gravity('')).toMatchObject({ value: 9.80665, u: expect.closeTo(0.015, 3) });
  });

  test('an echo from below takes sound from the fluid, at the temperature of the measurement unless told otherwise', () => {
    const echo = channelOf('depth', levelBy('µs', '{ echo-from-below: { face: 3 mm, dead-time: 2.5 µs } }'), [
      'measure:\n',
      `${FLUID}measure:\n`,
    ]);
    expect(echo.context).toEqual({
      soundMPerS: { kind: 'fluid', property: 'sound', temperatureChannel: 'oil' },
    });
    // 2.5 µs belong to the board, 80 µs there and back at 1.4 mm/µs are 56 mm
    expect(at(echo, 82.5, { soundMPerS: 1400 })).toEqual({ value: 59, flag: null });
    const inMs = channelOf('depth', levelBy('ms', '{ echo-from-below: { sound: 1400 m/s } }'));
    expect(at(inMs, 0.08, { soundMPerS: 1400 })).toEqual({ value: 56, flag: null });
  });

  test("a board's own millimetres are undone with its speed and redone with the true one", () => {
    const board = channelOf(
      'depth',
      levelBy('mm', '{ board-millimetres: { assumed: 1480 m/s }, echo-from-below: { sound: 1400 m/s } }'),
    );
    expect(at(board, 74, { soundMPerS: 1400 })).toEqual({ value: 70, flag: null });
  });

  test('an echo from above through humid air takes the pressure of the altitude', () => {
    const air = channelOf(
      'depth',
      levelBy(
        'µs',
        '{ echo-from-above: { mount: 300 mm, air: 20 °C, humidity: 50 %, altitude: 1000 m } }',
        '    range: 5 mm to 250 mm\n',
      ),
    );
    expect(air.context.airPressureKPa).toMatchObject({ kind: 'constant', value: expect.closeTo(89.876, 2), u: 1.5 });
    expect(air.context.relativeHumidity).toEqual({ kind: 'constant', value: 0.5, u: 0.1 });
  });
});

describe('laws of a temperature', () => {
  test('platinum, with its class for an uncertainty', () => {
    const plain = channelOf('oil', oilBy('kOhm', '{ platinum-rtd: { r0: 100 Ohm } }'));
    expect(at(plain, 0.13851)).toMatchObject({ value: expect.closeTo(100, 1), flag: null });
    expect(plain.sentinels).toEqual([]);
    const classed = channelOf('oil', oilBy('Ohm', '{ platinum-rtd: { r0: 100 Ohm, class: B } }', ''));
    expect(classed.standardUncertainty).toBeCloseTo((0.3 + 0.005 * 150) / Math.sqrt(3), 9);
  });

  test('a thermistor behind a divider, by beta, by points and by coefficients', () => {
    const divided = channelOf(
      'oil',
      oilBy(
        'counts',
        '{ divider: { fixed: 10 kOhm, full-scale: 4096 counts, sensor-to: ground }, ntc: { valid: 0 °C to 125 °C, beta: 3950 K, r0: 10 kOhm } }',
      ),
    );
    expect(at(divided, 2048)).toEqual({ value: 25, flag: null });
    expect(at(divided, 4095).flag).toBe('open-circuit');
    const points = channelOf(
      'oil',
      oilBy(
        'Ohm',
        '{ ntc: { valid: 0 °C to 100 °C, points: [[0 °C, 32650 Ohm], [50 °C, 3603 Ohm], [100 °C, 680 Ohm]] } }',
      ),
    );
    expect(at(points, 3603)).toEqual({ value: 50, flag: null });
    const coefficients = channelOf(
      'oil',
      oilBy('Ohm', '{ ntc: { valid: 0 °C to 100 °C, coefficients: [0.001129241, 0.0002341077, 0.00000008775468] } }'),
    );
    expect(at(coefficients, 10_000).value).toBeCloseTo(25, 1);
  });

  test('a thermocouple in V or mV, its cold junction from a channel', () => {
    const terminals = '  terminals: { from: probe.temp, unit: °C, uncertainty: 0.5 K }\nmeasure:\n';
    const hot = channelOf('oil', oilBy('V', '{ thermocouple: { type: K, cold-junction: terminals } }'), [
      'measure:\n',
      terminals,
    ]);
    expect(hot.context).toEqual({ coldJunctionC: { kind: 'channel', channel: 'terminals' } });
    expect(at(hot, 0.004096, { coldJunctionC: 0 }).value).toBeCloseTo(100, 1);
  });
});

test('sentinels: known ones without a law, none with one, or those of the file', () => {
  expect(channelOf('oil').sentinels).toContain(-127);
  expect(channelOf('depth').sentinels).toEqual([999.9, 65_535, 32_768, -32_768]);
  expect(channelOf('depth', [LEVEL, `${LEVEL}    sentinels: [12, -1]\n`]).sentinels).toEqual([12, -1]);
});

test('a typed channel drives the window and counts for the stated time', () => {
  const typed = channelOf('oil', [OIL, '    typed: true\n    unit: °C\n    uncertainty: 1 K\n    valid: 2 min\n']);
  expect(typed).toMatchObject({ instrument: 'typed', signal: '', intervalUs: 40_000_000, quantity: 'temperature' });
});

describe('fluid and vessel', () => {
  const withFluid = (text: string) => load(broken(['measure:\n', `${text}measure:\n`])).fluid;

  test('a fluid is what its keys say', () => {
    const fluid = withFluid(FLUID);
    if (fluid === null) throw new Error('no fluid');
    const { density, speedOfSound } = fluidOf(fluid);
    expect(density(15).value).toBeCloseTo(870, 9);
    expect(density(15).u).toBeCloseTo(2, 3);
    expect(speedOfSound(50)?.value).toBeCloseTo(1335, 9);
    expect(fluidOf(fluid)).toBe(fluidOf(fluid));
  });

  test.each([
    ['fluid: { typical: transmission-oil }\n', 850, 1440 - 3.4 * 27.5],
    ['fluid: { density: { water: {} }, sound: { water: {} } }\n', 999.1, 1542.57],
    [
      'fluid: { density: { table: { points: [[15 °C, 870 kg/m3], [80 °C, 829 kg/m3]], uncertainty: 1 kg/m3, source: sheet } }, sound: { table: { points: [[0 °C, 1500 m/s], [50 °C, 1336 m/s]], uncertainty: 5 m/s, source: sheet } } }\n',
      870,
      1336,
    ],
    [
      'fluid:\n  density: { water: {} }\n  sound: { calibrated: { at: 50 °C, at-uncertainty: 0.3 K, length: 60 mm, length-uncertainty: 0.1 mm, echo: 90 µs, echo-uncertainty: 0.1 µs, per-kelvin: -3.5 m/s/K, per-kelvin-uncertainty: 0.3 m/s/K, valid: 0 °C to 90 °C, source: here } }\n',
      999.1,
      1333.3,
    ],
    [
      'fluid: { mixture: { old: { typical: transmission-oil }, fresh: { typical: transmission-oil }, fresh-share: 60 %, uncertainty: 5 % } }\n',
      850,
      1440 - 3.4 * 27.5,
    ],
  ])('%s', (text, densityAt15, soundAt50) => {
    const fluid = withFluid(text);
    if (fluid === null) throw new Error('no fluid');
    expect(fluidOf(fluid).density(15).value).toBeCloseTo(densityAt15, 1);
    expect(fluidOf(fluid).speedOfSound(50)?.value).toBeCloseTo(soundAt50, 1);
  });

  test.each([
    ['{ strapping-table: [[0 mm, 0 L], [50 mm, 2 L], [100 mm, 4 L]] }', 2],
    ['{ box: { length: 200 mm, width: 200 mm, height: 100 mm } }', 2],
    [
      '{ tapered-pan: { floor-length: 200 mm, floor-width: 200 mm, rim-length: 240 mm, rim-width: 200 mm, height: 100 mm } }',
      2.1,
    ],
    ['{ upright-cylinder: { diameter: 200 mm, height: 100 mm } }', Math.PI / 2],
    ['{ horizontal-cylinder: { diameter: 100 mm, length: 200 mm } }', Math.PI / 4],
  ])('%s', (shape, litres) => {
    const { vessel } = load(
      broken(['measure:\n', `vessel: { shape: ${shape}, floor-at: 10 mm, uncertainty: 1 % }\nmeasure:\n`]),
    );
    if (vessel === null) throw new Error('no vessel');
    expect(vesselOf(vessel).litresAt(60, 20).value).toBeCloseTo(litres, 9);
  });
});

const WRONG: readonly [name: string, changes: readonly Change[], told: readonly string[]][] = [
  [
    'a law that is not known',
    [oilBy('Ohm', '{ platinum: { r0: 100 Ohm } }')],
    [
      '18:12 unknown key "platinum": one of "current-loop", "two-point", "ratiometric", "divider", "board-millimetres", "table", "platinum-rtd", "ntc", "thermocouple", "echo-from-below", "echo-from-above", "hydrostatic", "flow-pulses", "mass" → platinum-rtd',
    ],
  ],
  [
    'a number of another kind than the law takes',
    [oilBy('mA', '{ platinum-rtd: { r0: 100 Ohm } }')],
    ['17:11 "mA" is a unit of current: a unit such as "Ohm", "kOhm", "Ω", "kΩ"'],
  ],
  [
    'a key and a unit of a law',
    [oilBy('Ohm', '{ platinum-rtd: { r0: 100 kohm, clas: B } }')],
    [
      '18:32 unknown unit "kohm": a resistance above 0 Ohm such as "100 Ohm" → kOhm',
      '18:42 unknown key "clas": one of "r0", "class", "build" → class',
    ],
  ],
  [
    'a law that gives no quantity',
    [oilBy('counts', '{ divider: { fixed: 10 kOhm, full-scale: 4096 counts, sensor-to: ground } }')],
    ['18:12 the law "divider" gives no quantity by itself: a law behind it that takes what it gives'],
  ],
  [
    'laws that do not meet',
    [oilBy('mA', '{ current-loop: { at-4-mA: 0 mm, at-20-mA: 90 mm }, platinum-rtd: { r0: 100 Ohm } }')],
    ['18:5 a law that gives mm cannot feed one that takes Ohm: values that go together'],
  ],
  [
    'valid signals of another kind than the points',
    [levelBy('V', '{ two-point: { points: [[0 V, 0 mm], [10 V, 250 mm]], valid: [0 mA, 20 mA] } }')],
    ['23:12 the points must all be of the same kinds of quantity: values that go together'],
  ],
  [
    'a table that turns back',
    [levelBy('Ohm', '{ table: { points: [[10 Ohm, 0 mm], [72 Ohm, 90 mm], [180 Ohm, 60 mm]] } }')],
    ['23:12 the values of a sender must rise throughout, or fall throughout: values that go together'],
  ],
  [
    'no fluid to take the speed of sound from',
    [levelBy('µs', '{ echo-from-below: { face: 3 mm } }')],
    ['23:12 the bench has no fluid: a section "fluid", or a stated value here'],
  ],
  [
    'a fluid without a speed of sound',
    [
      levelBy('µs', '{ echo-from-below: { sound: fluid } }'),
      ['measure:\n', 'fluid: { density: { water: {} } }\nmeasure:\n'],
    ],
    ['23:31 the fluid has no speed of sound: the key "sound" in the section "fluid"'],
  ],
  [
    'a cold junction that is no channel',
    [oilBy('mV', '{ thermocouple: { type: K, cold-junction: oli } }')],
    ['18:52 no channel is called "oli": a channel of temperature'],
  ],
  [
    'a cold junction of another quantity',
    [oilBy('mV', '{ thermocouple: { type: K, cold-junction: depth } }')],
    ['18:52 "depth" is a channel of length: a channel of temperature'],
  ],
  [
    'a channel that leans on itself',
    [oilBy('mV', '{ thermocouple: { type: K, cold-junction: oil } }')],
    ['18:52 "oil" is itself worked out from this channel: a channel of temperature'],
  ],
  [
    'a class that promises nothing so hot',
    [
      oilBy('Ohm', '{ platinum-rtd: { r0: 100 Ohm, class: AA } }', '    resolution: 0.1 K\n'),
      ['0 °C to 150 °C', '0 °C to 200 °C'],
    ],
    [
      '18:41 class AA (film) makes no promise over the whole range of the channel, 0 °C to 200 °C: values that go together',
    ],
  ],
  [
    'no uncertainty and no class',
    [oilBy('Ohm', '{ platinum-rtd: { r0: 100 Ohm } }', '')],
    ['15:3 missing key "uncertainty": a temperature difference or a length, above 0, such as uncertainty: 0.3 K'],
  ],
  [
    'a typed channel with an instrument, and without its time',
    [[OIL, '    typed: true\n    from: probe.temp\n    unit: °C\n    uncertainty: 1 K\n']],
    [
      '15:3 missing key "valid": a time from 10 s to 1 h, such as valid: 2 min',
      '17:5 a typed channel has no "from": no such key beside "typed"',
    ],
  ],
  [
    'an echo strength that is nowhere',
    [[LEVEL, `${LEVEL}    echo: { strength: gauge.qality, least: 40 }\n`]],
    ['25:23 "gauge.qality" is no number of the same instrument: one of "gauge.level", "gauge.quality" → gauge.quality'],
  ],
  [
    'a strapping table that sinks',
    [
      [
        'measure:\n',
        'vessel: { shape: { strapping-table: [[0 mm, 0 L], [50 mm, 2 L], [90 mm, 1 L]] }, uncertainty: 1 % }\nmeasure:\n',
      ],
    ],
    [
      '25:11 the litres of a strapping table must rise from each point to the next, from 0 or above: values that go together',
    ],
  ],
  [
    'a fluid with two densities',
    [
      [
        'measure:\n',
        'fluid: { density: { water: {}, lubricating-oil: { at-15-C: 870 kg/m3, uncertainty: 2 kg/m3 } } }\nmeasure:\n',
      ],
    ],
    ['25:1 "density" is given twice: lubricating-oil and water: values that go together'],
  ],
  [
    'Celsius in a compound unit',
    [['measure:\n', `${FLUID.replace('-3.5 m/s/K', '-3.5 m/s/°C')}measure:\n`]],
    ['27:83 unknown unit "m/s/°C": a speed per kelvin such as "-3.5 m/s/K" → m/s/K'],
  ],
];

describe('mistakes', () => {
  test.each(WRONG)('%s', (_name, changes, told) => {
    expect(tell(broken(...changes))).toEqual(told);
  });
});
