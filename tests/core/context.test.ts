/** Laws on a bench: their context, what their flags make of a value, what they add to the uncertainty, and litres. */
import { describe, expect, test } from 'vitest';
import type { BenchDescription, ChannelDescription, ContextSource } from '../../src/core/description.ts';
import type { Sample } from '../../src/core/events.ts';
import type { LawDescription } from '../../src/core/laws/law-of.ts';
import { testBench } from '../support/bench.ts';
import { CoreRig } from '../support/core-rig.ts';

const [temperature, level] = testBench.channels as [ChannelDescription, ChannelDescription];
const SOUND: ContextSource = { kind: 'fluid', property: 'sound', temperatureChannel: 'temperature' };

/** The sonar sends µs. */
function echoBench(sound: ContextSource = SOUND, uMPerS = 4): BenchDescription {
  const law: LawDescription = { kind: 'echo-from-below', faceMm: 0, deadTimeUs: 0, validMm: { low: 5, high: 200 } };
  return {
    ...testBench,
    channels: [temperature, { ...level, law, context: { soundMPerS: sound } }],
    measure: { ...testBench.measure, compensation: { kind: 'slope', mmPerK: 0.04, uMmPerK: 0 } },
    fluid: {
      kind: 'single',
      name: 'oil',
      density: { kind: 'lubricating-oil', at15KgPerM3: 870, uKgPerM3: 2, uExpansionPerK: 7.5e-5 },
      sound: {
        kind: 'linear',
        atC: 20,
        mPerS: 1440,
        uMPerS,
        perK: -3.5,
        uPerK: 0,
        lowC: 0,
        highC: 100,
        source: 'test',
      },
    },
    vessel: {
      name: 'box',
      shape: { kind: 'box', lengthMm: 200, widthMm: 200, heightMm: 150 },
      floorAtMm: 0,
      uVolumeShare: 0.01,
      wall: null,
      sensor: { kind: 'known', alongMm: 0, acrossMm: 0 },
      tilt: null,
    },
  };
}

function sampleOf(outputs: readonly { readonly kind: string }[]): Sample {
  return outputs.find(({ kind }) => kind === 'sample') as Sample;
}

const microseconds = (mm: number, celsius: number) => (2000 * mm) / (1440 - 3.5 * (celsius - 20));

describe('context', () => {
  test('an echo is no level before the temperature of the fluid is known, nor after it has gone stale', () => {
    const rig = new CoreRig(echoBench());
    rig.open('probe');
    rig.open('sonar');
    expect(sampleOf(rig.line('sonar', 'sonar;86.90;us;q=80'))).toMatchObject({ quality: 'bad', reason: 'no-context' });
    rig.line('probe', 'T=50.00 C ok');
    expect(sampleOf(rig.line('sonar', 'sonar;86.90;us;q=80'))).toMatchObject({
      quality: 'good',
      value: expect.closeTo((86.9 * 1.335) / 2, 9),
    });
    rig.advanceTo(1_500_000);
    expect(sampleOf(rig.line('sonar', 'sonar;86.90;us;q=80')).quality).toBe('good');
    rig.advanceTo(1_500_001);
    expect(sampleOf(rig.line('sonar', 'sonar;86.90;us;q=80')).reason).toBe('no-context');
  });

  test('a temperature at which the speed of sound is not known makes no level', () => {
    const rig = new CoreRig(echoBench());
    rig.open('probe');
    rig.open('sonar');
    rig.line('probe', 'T=101.00 C ok');
    expect(sampleOf(rig.line('sonar', 'sonar;86.90;us;q=80'))).toMatchObject({
      quality: 'bad',
      reason: 'context-out-of-range',
    });
  });

  test('a stated value needs no channel', () => {
    const rig = new CoreRig(echoBench({ kind: 'constant', value: 1400, u: 25 }));
    rig.open('sonar');
    expect(sampleOf(rig.line('sonar', 'sonar;80.00;us;q=80'))).toMatchObject({ quality: 'good', value: 56 });
  });

  test('a channel gives its latest good value, never a bad one', () => {
    const hot: ChannelDescription = {
      ...level,
      quantity: 'temperature',
      law: { kind: 'thermocouple', type: 'K' },
      context: { coldJunctionC: { kind: 'channel', channel: 'temperature' } },
      range: { low: -50, high: 500 },
    };
    const rig = new CoreRig({ ...testBench, channels: [temperature, hot] });
    rig.open('probe');
    rig.open('sonar');
    rig.line('probe', 'T=25.00 C ok');
    rig.line('probe', 'T=900.00 C ok');
    // 4.096 mV stand for 100 °C against 0 °C; 25 °C are 1.000 mV (printed tables of type K)
    expect(sampleOf(rig.line('sonar', 'sonar;3.096;mV;q=80')).value).toBeCloseTo(100, 1);
  });
});

test.each([
  [3.5, 'broken-loop', 'bad'],
  [3.7, 'out-of-range', 'bad'],
  [12, null, 'good'],
  [21.5, 'failure-current', 'bad'],
] as const)('a current loop at %s mA: %s', (mA, reason, quality) => {
  const law: LawDescription = { kind: 'current-loop', at4: 0, at20: 200, unit: 'mm' };
  const rig = new CoreRig({ ...testBench, channels: [temperature, { ...level, law }] });
  rig.open('sonar');
  expect(sampleOf(rig.line('sonar', `sonar;${mA};mA;q=80`))).toMatchObject({ quality, reason });
  expect(rig.state?.channels.level?.goodUs).toBe(quality === 'good' ? 0 : null);
});

describe('a reading by echo', () => {
  /** 60 mm of oil that does not move while it warms. */
  function read(uMPerS = 4) {
    const rig = new CoreRig(echoBench(SOUND, uMPerS));
    rig.open('probe');
    rig.open('sonar');
    rig.run(
      20,
      () => 48,
      (t) => microseconds(60, 48) + (t % 1 < 0.5 ? 0.01 : -0.01),
    );
    const [outcome] = rig.outcomes('reading');
    if (outcome === undefined) throw new Error('no reading');
    return { rig, reading: outcome.reading };
  }

  test('budgets the speed of sound as far as the level leans on it', () => {
    const { reading } = read();
    const line = reading.budget.find(({ component }) => component === 'speed of sound in the fluid (level)');
    expect(Math.abs(reading.rawLevelMm - 60)).toBeLessThan(0.01);
    expect(line).toMatchObject({ u: 4, unit: 'm/s' });
    expect(line?.sensitivity).toBeCloseTo(reading.rawLevelMm / (1440 - 3.5 * 28), 5);
    expect(read(25).reading.U95Mm).toBeGreaterThan(4 * reading.U95Mm * 0.8);
  });

  test('moves with the temperature twice: by expansion, and by the sound that is slower', () => {
    const line = read().reading.budget.find(({ component }) => component === 'temperature instrument');
    expect(line?.sensitivity).toBeCloseTo(-0.04 - (3.5 * 60) / (1440 - 3.5 * 28), 4);
  });

  test('one wild echo at the moment of the reading does not change the budget', () => {
    const steady = read().reading;
    const rig = new CoreRig(echoBench());
    rig.open('probe');
    rig.open('sonar');
    rig.run(
      20,
      () => 48,
      (t) => microseconds(60, 48) * (t > 5.9 && t < 6.1 ? 3 : 1) + (t % 1 < 0.5 ? 0.01 : -0.01),
    );
    const wild = rig.outcomes('reading')[0]?.reading;
    const sound = (budget: typeof steady.budget | undefined) =>
      budget?.find(({ unit }) => unit === 'm/s')?.contributionMm;
    expect(sound(wild?.budget)).toBeCloseTo(sound(steady.budget) as number, 4);
  });

  test('tells the litres, live and with their uncertainty', () => {
    const { rig, reading } = read();
    expect(reading.volumeL).toBeCloseTo(2.4, 3);
    const uMm = reading.U95Mm / reading.coverageFactor;
    expect(reading.volumeU95L).toBeCloseTo(
      reading.coverageFactor * Math.sqrt((0.04 * uMm) ** 2 + (0.01 * 2.4) ** 2),
      4,
    );
    const status = rig.outputs.findLast(({ kind }) => kind === 'status');
    expect(status).toMatchObject({ volumeL: expect.closeTo(2.4, 3) });
  });
});

test('without a vessel, or above its rim, there are no litres', () => {
  const litres = (bench: BenchDescription) => {
    const rig = new CoreRig(bench);
    rig.open('probe');
    rig.open('sonar');
    rig.run(
      20,
      () => 48,
      (t) => microseconds(60, 48) + (t % 1 < 0.5 ? 0.01 : -0.01),
    );
    const status = rig.outputs.findLast(({ kind }) => kind === 'status');
    return [status?.kind === 'status' ? status.volumeL : 0, rig.outcomes('reading')[0]?.reading.volumeL];
  };
  const bench = echoBench();
  expect(litres({ ...bench, vessel: null })).toEqual([null, null]);
  const shape = { kind: 'box', lengthMm: 200, widthMm: 200, heightMm: 50 } as const;
  expect(litres({ ...bench, vessel: bench.vessel && { ...bench.vessel, shape } })).toEqual([null, null]);
});
