/** What a certificate does to values and to the budget of a reading. */
import { describe, expect, test } from 'vitest';
import { drivers } from '../../../drivers/index.ts';
import { calibratedSound } from '../../../src/core/calibration/calibrated-sound.ts';
import type { AppliedCertificate, CorrectionResult } from '../../../src/core/calibration/certificate.ts';
import { correctionFrom, refitFrom } from '../../../src/core/calibration/certify.ts';
import { calibrationComponents, certificateIds, triangleOf } from '../../../src/core/calibration/components.ts';
import { corrected, inForce, uncorrected } from '../../../src/core/calibration/in-force.ts';
import { NOTHING_CARRIED } from '../../../src/core/carried.ts';
import type { BenchDescription, ChannelDescription } from '../../../src/core/description.ts';
import { fluidOf } from '../../../src/core/fluids/fluid.ts';
import { THERMOMETER } from '../../reference/gum-thermometer.ts';
import { testBench } from '../../support/bench.ts';
import { applied, certificate, DAY_MS, MADE_UTC_MS } from '../../support/certificates.ts';
import { CoreRig } from '../../support/core-rig.ts';

const NO_ECHO = { perMPerS: 0, perUs: 0 };
const at = (value: number, statedU = 0.3) => ({ uncorrected: value, slope: 1, echo: NO_ECHO, statedU });
const sum = (effects: readonly { effect: number }[]) =>
  Math.sqrt(effects.reduce((total, { effect }) => total + effect * effect, 0));

const gum = correctionFrom(
  THERMOMETER.readingsC.map((indicated, i) => ({
    reference: indicated + (THERMOMETER.correctionsK[i] as number),
    uReference: 0,
    indicated,
    uIndicated: 0,
    count: 1,
  })),
  1,
  null,
  0,
);

describe('the thermometer of GUM H.3 as a certificate', () => {
  const all = [applied('temperature', certificate(gum.result))];
  const { correction } = inForce(all, 'temperature');

  test('its correction at 30 °C, and the way back', () => {
    const { value, slope } = corrected(correction, 30);
    expect(value - 30).toBeCloseTo(THERMOMETER.at30, 10);
    expect(slope).toBeCloseTo(1 + THERMOMETER.y2, 10);
    expect(uncorrected(correction, value)).toBeCloseTo(30, 11);
  });

  test('the standard uncertainty of the correction at 30 °C in independent parts, 9 degrees of freedom', () => {
    const parts = calibrationComponents(all, 'temperature', at(30), {}).filter(({ words }) =>
      /^calibration/.test(words),
    );
    expect(parts).toHaveLength(2);
    expect(sum(parts)).toBeCloseTo(THERMOMETER.uAt30, 10);
    expect(parts.map(({ degreesOfFreedom }) => degreesOfFreedom)).toEqual([9, 9]);
    expect(parts.map(({ key }) => key)).toEqual(['calibration:made-correction/0', 'calibration:made-correction/1']);
  });

  test('at 20 °C it is that of the intercept', () => {
    const parts = calibrationComponents(all, 'temperature', at(20), {}).filter(({ words }) =>
      /^calibration/.test(words),
    );
    expect(sum(parts)).toBeCloseTo(THERMOMETER.sY1, 10);
  });

  test('the difference of two values leans on the slope alone: shared errors cancel by their keys', () => {
    const [here, there] = [24, 22].map((value) => calibrationComponents(all, 'temperature', at(value), {}));
    const keys = new Set([...(here ?? []), ...(there ?? [])].flatMap(({ key }) => (key === null ? [] : [key])));
    const left = [...keys].map((key) => ({
      effect:
        (here?.find((one) => one.key === key)?.effect ?? 0) - (there?.find((one) => one.key === key)?.effect ?? 0),
    }));
    expect(sum(left)).toBeCloseTo(2 * THERMOMETER.sY2, 10);
    expect(sum(here ?? [])).toBeGreaterThan(0.001);
  });

  test('beyond its points the uncertainty of the bench file counts again', () => {
    const inside = calibrationComponents(all, 'temperature', at(25), {});
    const outside = calibrationComponents(all, 'temperature', at(30), {});
    expect(inside.find(({ words }) => words.startsWith('beyond'))).toBeUndefined();
    expect(outside.find(({ words }) => words.startsWith('beyond'))).toMatchObject({ effect: 0.3, key: null });
  });
});

test('a curve of the second degree is held at its ends', () => {
  const bow: CorrectionResult = {
    ...gum.result,
    low: 0,
    high: 100,
    centre: 50,
    halfSpan: 50,
    coefficients: [1, 0, -1],
    covariance: [
      [0.01, 0, 0],
      [0, 0, 0],
      [0, 0, 0],
    ],
  };
  const all = [applied('temperature', certificate(bow))];
  const { correction } = inForce(all, 'temperature');
  expect(corrected(correction, 50)).toEqual({ value: 51, slope: 1 });
  expect(corrected(correction, 120)).toEqual({ value: 120, slope: 1 });
  const lost = calibrationComponents(all, 'temperature', at(120, 0.3), {}).find(({ words }) => /^beyond/.test(words));
  // Its slope at the end, −0.04 per degree, over 20 degrees.
  expect(lost?.effect).toBeCloseTo(Math.hypot(0.8, 0.3), 12);
});

test('the triangle of a covariance gives the covariance back', () => {
  const covariance = [
    [4, 2, -1],
    [2, 5, 0.5],
    [-1, 0.5, 3],
  ];
  const columns = triangleOf(covariance);
  const back = covariance.map((_, i) =>
    covariance.map((_, j) => columns.reduce((total, column) => total + (column[i] ?? 0) * (column[j] ?? 0), 0)),
  );
  for (const [i, row] of covariance.entries())
    for (const [j, entry] of row.entries()) expect(back[i]?.[j]).toBeCloseTo(entry, 12);
  expect(
    triangleOf([
      [0, 0],
      [0, 4],
    ]),
  ).toEqual([
    [0, 0],
    [0, 2],
  ]);
});

test('the newest certificate of each sort counts', () => {
  const zero = (value: number, atUtcMs: number): AppliedCertificate =>
    applied(
      'temperature',
      certificate({ ...gum.result, coefficients: [value], covariance: [[0]] }, { id: `z${value}`, atUtcMs }),
    );
  const all = [zero(2, MADE_UTC_MS + 5), zero(1, MADE_UTC_MS), applied('level', certificate(gum.result))];
  expect(inForce(all, 'temperature').correction?.id).toBe('z2');
  expect(inForce(all, 'elsewhere').correction).toBeNull();
  expect(certificateIds(all, ['temperature', 'level'])).toEqual(['z2', 'made-correction']);
});

test('overdue, a zero of its own: once its uncertainty at the date, once more for each interval', () => {
  const all = [
    applied('temperature', certificate({ ...gum.result, coefficients: [0], covariance: [[0.04]], residualSd: null })),
  ];
  const late = (intervals: number) =>
    calibrationComponents(all, 'temperature', at(50), { 'made-correction': intervals }).find(({ words }) =>
      words.startsWith('calibration overdue'),
    );
  expect(late(0.001)?.effect).toBeCloseTo(0.2 * 1.001, 12);
  expect(late(2)?.effect).toBeCloseTo(0.6, 12);
  expect(late(2)?.key).toBe('calibration:made-correction/overdue');
});

test('fittings scatter with n − 1 degrees of freedom, and share nothing', () => {
  const result = refitFrom([10, 10.2, 10.1, 9.9, 10.3]);
  expect(result.sd).toBeCloseTo(Math.sqrt(0.1 / 4), 12);
  const all = [applied('level', certificate(result, { kind: 'refit' }))];
  const [part] = calibrationComponents(all, 'level', at(50), {});
  expect(part).toMatchObject({ key: null, type: 'A', degreesOfFreedom: 4 });
  expect(() => refitFrom([1])).toThrow(/two fittings/);
});

/** Level from an echo through the fluid, calibrated in it at 40 °C. */
const echoBench: BenchDescription = {
  ...testBench,
  channels: testBench.channels.map((channel) =>
    channel.id === 'level'
      ? {
          ...channel,
          law: { kind: 'echo-from-below', faceMm: 0, deadTimeUs: 2, validMm: { low: 5, high: 200 } },
          context: { soundMPerS: { kind: 'fluid', property: 'sound', temperatureChannel: 'temperature' } },
        }
      : channel,
  ),
  fluid: {
    kind: 'single',
    name: 'oil',
    density: { kind: 'water', uKgPerM3: 0 },
    sound: {
      kind: 'linear',
      atC: 20,
      mPerS: 1440,
      uMPerS: 25,
      perK: -3.4,
      uPerK: 0.35,
      lowC: 0,
      highC: 100,
      source: 'typical',
    },
  },
};

describe('speed of sound and dead time', () => {
  const echo = {
    kind: 'echo',
    soundMPerS: 1400,
    deadTimeUs: 3,
    covariance: [
      [4, -0.1],
      [-0.1, 0.01],
    ],
    degreesOfFreedom: null,
    atC: 40,
    uAtC: 0.5,
  } as const;

  test('the measured speed holds at its temperature, the slope of the fluid away from it', () => {
    if (echoBench.fluid === null) throw new Error('no fluid');
    const fluid = fluidOf(echoBench.fluid);
    expect(calibratedSound(fluid, 40, echo)).toMatchObject({ value: 1400, derivative: -3.4, inRange: true });
    const warm = calibratedSound(fluid, 50, echo);
    expect(warm?.value).toBeCloseTo(1366, 9);
    // The 25 m/s of the description are gone; its slope counts over 10 K, and the temperature of the calibration.
    expect(warm?.u).toBeCloseTo(Math.hypot(0.35 * 10, 3.4 * 0.5), 9);
  });

  test('in the core: the level by both, its parts in the budget with the right signs', () => {
    const all = [applied('level', certificate(echo, { kind: 'echo-lengths', signal: 'level', unit: 'mm' }))];
    const rig = new CoreRig(echoBench, drivers, NOTHING_CARRIED, all);
    rig.open('probe');
    rig.open('sonar');
    const us = (mm: number) => 3 + (2000 * mm) / 1366;
    rig.run(
      12,
      () => 50,
      () => us(60),
    );
    const sample = rig.outputs.findLast((output) => output.kind === 'sample' && output.channel === 'level');
    expect(sample?.kind === 'sample' ? sample.value : 0).toBeCloseTo(60, 2);
    const [outcome] = rig.outcomes('reading');
    const parts = outcome?.reading.budget.filter(({ component }) => /^calibration of speed/.test(component)) ?? [];
    expect(parts).toHaveLength(2);
    // level = c (t − t₀)/2: ∂/∂c = 60/1366 mm per m/s, ∂/∂t₀ = −0.683 mm/µs, with the covariance.
    const perC = 60 / 1366;
    const perT = -0.683;
    const variance = perC * perC * 4 + perT * perT * 0.01 + 2 * perC * perT * -0.1;
    const found = Math.sqrt(parts.reduce((total, { contributionMm }) => total + contributionMm * contributionMm, 0));
    expect(found).toBeCloseTo(Math.sqrt(variance), 4);
    // What is left of the fluid's own statement: its slope over 10 K, and the temperature of the calibration.
    const left = outcome?.reading.budget.filter(({ unit }) => unit === 'm/s').map(({ u }) => u) ?? [];
    expect(Math.hypot(...left)).toBeCloseTo(Math.hypot(0.35 * 10, 3.4 * 0.5), 2);
  });

  test('a newer zero on a block replaces the dead time and leaves the speed', () => {
    const dead = { kind: 'dead-time', deadTimeUs: 5, u: 0.2, degreesOfFreedom: null } as const;
    const all = [
      applied('level', certificate(echo, { signal: 'level', unit: 'mm' })),
      applied('level', certificate(dead, { kind: 'block', atUtcMs: MADE_UTC_MS + DAY_MS })),
    ];
    const parts = calibrationComponents(all, 'level', { ...at(60), echo: { perMPerS: 0.04, perUs: 0.7 } }, {});
    expect(sum(parts.filter(({ key }) => key?.includes('made-echo')))).toBeCloseTo(0.04 * 2, 12);
    expect(parts.find(({ key }) => key === 'calibration:made-dead-time/0')?.effect).toBeCloseTo(-0.14, 12);
    const old = [all[0], applied('level', certificate(dead, { atUtcMs: MADE_UTC_MS - 1 }))] as AppliedCertificate[];
    expect(inForce(old, 'level').deadTime).toBeNull();
    // A correction that was found behind the law as it was before.
    const straightened = (atUtcMs: number) => applied('level', certificate(gum.result, { id: 'straight', atUtcMs }));
    const since = (atUtcMs: number) => inForce([...all, straightened(atUtcMs)], 'level').correction?.id;
    expect(since(MADE_UTC_MS + DAY_MS - 1)).toBeUndefined();
    expect(since(MADE_UTC_MS + DAY_MS)).toBe('straight');
  });
});

describe('in a run', () => {
  const all = [applied('temperature', certificate(gum.result))];
  const start = (certificates = all, bench = testBench) => {
    const rig = new CoreRig(bench, drivers, NOTHING_CARRIED, certificates);
    rig.open('probe');
    rig.open('sonar');
    return rig;
  };
  const wall = (rig: CoreRig, utcMs: number) =>
    rig.admit({ kind: 'wall', utcMs, zone: 'Etc/UTC', offsetMin: 0, cause: 'hourly' });
  const lines = (rig: CoreRig, words: RegExp) =>
    (rig.outcomes('reading').at(-1)?.reading.budget ?? []).filter(({ component }) => words.test(component));

  test('values are corrected before their range is looked at', () => {
    const rig = start([
      applied('temperature', certificate({ ...gum.result, coefficients: [-200], covariance: [[0]] })),
    ]);
    rig.line('probe', 'T=50.00 C ok');
    expect(rig.outputs.findLast((output) => output.kind === 'sample')).toMatchObject({
      value: -150,
      quality: 'bad',
      reason: 'out-of-range',
    });
  });

  test('scatter about the curve takes the place of what the bench file says of the instrument', () => {
    const rig = start();
    rig.run(
      12,
      () => 50,
      () => 62,
    );
    const [instrument] = lines(rig, /^temperature instrument/);
    // 9 degrees of freedom: t = 2.26 in place of 1.96.
    expect(instrument?.u).toBeCloseTo((THERMOMETER.s * 2.262157) / 1.96, 8);
  });

  test('overdue: an alarm once, a wider budget with a line of its own, and both end with the date', () => {
    const cool = { ...testBench, measure: { ...testBench.measure, window: { lowC: 20, highC: 28, hysteresisK: 0.3 } } };
    const rig = start(all, cool);
    wall(rig, MADE_UTC_MS + 50 * DAY_MS);
    expect(rig.outcomes('alarm').filter(({ alarm }) => alarm === 'calibration-overdue')).toEqual([]);
    wall(rig, MADE_UTC_MS + 150 * DAY_MS);
    wall(rig, MADE_UTC_MS + 150 * DAY_MS + 3_600_000);
    const raised = rig.outcomes('alarm').filter(({ alarm }) => alarm === 'calibration-overdue');
    expect(raised).toMatchObject([
      { source: 'temperature', state: 'active', why: 'certificate made-correction is 50 days past its date' },
    ]);
    rig.run(
      12,
      () => 24,
      () => 62,
    );
    const [late] = lines(rig, /^calibration overdue/);
    const own = sum(calibrationComponents(all, 'temperature', at(24), {}));
    // Half an interval late, so once and a half of its own; and the 0.3 K of the bench file in full. 0.25 mm a kelvin.
    const intervals = 50 / 100;
    expect(late?.contributionMm).toBeCloseTo(0.25 * Math.hypot((1 + intervals) * own, 0.3), 5);
    expect(lines(start(), /^calibration overdue/)).toEqual([]);
    wall(rig, MADE_UTC_MS + 50 * DAY_MS);
    expect(rig.outcomes('alarm').at(-1)).toMatchObject({ alarm: 'calibration-overdue', state: 'returned' });
  });

  test('the same inputs give the same outcomes', () => {
    const outcomes = [start(), start()].map((rig) => {
      wall(rig, MADE_UTC_MS + 150 * DAY_MS);
      rig.run(
        10,
        () => 50,
        (t) => 62 + Math.sin(t) / 100,
      );
      return rig.entries;
    });
    expect(outcomes[0]).toEqual(outcomes[1]);
  });
});

test('the calibration of a channel behind a law stands in the budget, by way of the law', () => {
  const bath = { ...testBench.channels[0], id: 'bath', signal: 'bath' } as ChannelDescription;
  const bench: BenchDescription = {
    ...echoBench,
    instruments: echoBench.instruments.map((one) =>
      one.id === 'probe' ? { ...one, options: { pattern: 'T={temp} C{...}B={bath}' } } : one,
    ),
    channels: [
      ...echoBench.channels.map((one) =>
        one.id === 'level'
          ? {
              ...one,
              context: { soundMPerS: { kind: 'fluid', property: 'sound', temperatureChannel: 'bath' } as const },
            }
          : one,
      ),
      bath,
    ],
  };
  const zero = { ...gum.result, coefficients: [0], covariance: [[0.04]], residualSd: null };
  const rig = new CoreRig(bench, drivers, NOTHING_CARRIED, [applied('bath', certificate(zero, { signal: 'bath' }))]);
  rig.open('probe');
  rig.open('sonar');
  for (let i = 0; i < 60; i++) {
    rig.advanceTo(i * 200_000);
    rig.line('probe', 'T=50.00 C B=50.00');
    rig.line('sonar', 'sonar;90.00;mm;q=80');
  }
  const budget = rig.outcomes('reading').at(-1)?.reading.budget ?? [];
  // 88 µs of way, −3.4 m/s a kelvin, 0.2 K.
  const expected = ((88e-3 / 2) * 3.4 * 0.2).toFixed(6);
  expect(budget.find(({ component }) => component === 'calibration (bath)')?.contributionMm.toFixed(6)).toBe(expected);
});
