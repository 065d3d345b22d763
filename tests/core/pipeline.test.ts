import { describe, expect, test } from 'vitest';
import { drivers } from '../../drivers/index.ts';
import { createPipeline } from '../../src/core/pipeline.ts';
import type { State } from '../../src/core/state.ts';
import { compareEntries } from '../../src/replay/compare.ts';
import { testBench } from '../support/bench.ts';
import { CoreRig, noise } from '../support/core-rig.ts';

/** Warms along an exponential from 30 °C towards 52 °C; the gauge reads 0.25 mm/K too high, as the bench says. */
function warmUp(rig: CoreRig, seconds: number, disturb: (t: number) => number = () => 0) {
  const ripple = noise(5);
  const temperature = (t: number) => 52 - 22 * Math.exp(-t / 20);
  rig.run(seconds, temperature, (t) => 62 + 0.25 * (temperature(t) - 50) + 0.2 * ripple() + disturb(t));
}

function talkingRig(): CoreRig {
  const rig = new CoreRig();
  rig.open('probe');
  rig.open('sonar');
  return rig;
}

describe('from cold to a reading', () => {
  const rig = talkingRig();
  warmUp(rig, 60);

  test('ready comes once, when the level has been calm within the temperature window', () => {
    const ready = rig.outcomes('ready');
    expect(ready.map((outcome) => outcome.ready)).toEqual([true]);
    // 46 °C is passed at t = −20 ln(6/22) = 26.0 s; the level has been at rest all the while.
    expect((ready[0]?.tUs ?? 0) / 1e6).toBeGreaterThan(25.8);
    expect((ready[0]?.tUs ?? 0) / 1e6).toBeLessThan(28);
  });

  test('ready carries what it rests on', () => {
    const { numbers } = rig.outcomes('ready')[0] ?? expect.fail('never ready');
    expect(numbers?.boundMm).toBeLessThan(1);
    expect(numbers?.noiseMm).toBeGreaterThan(0.05);
    expect(numbers?.used).toBeGreaterThan(0);
    expect(numbers?.effective).toBeGreaterThan(0);
    expect(numbers?.setAsideShare).toBe(0);
    expect(numbers?.uDriftMmPerMin).toBeGreaterThan(0);
  });

  test('a reading rests only on what was measured within the window', () => {
    const { reading } = rig.outcomes('reading')[0] as ReturnType<typeof rig.outcomes<'reading'>>[number];
    expect(reading.fromUs / 1e6).toBeGreaterThanOrEqual(26);
    expect(reading.temperatureC).toBeGreaterThan(46);
  });

  test('one calm spell yields one reading, close to the truth at the reference temperature', () => {
    const readings = rig.outcomes('reading');
    expect(readings).toHaveLength(1);
    const { reading } = readings[0] as (typeof readings)[number];
    expect(reading.cause).toBe('ready');
    expect(Math.abs(reading.levelMm - 62)).toBeLessThan(reading.U95Mm);
    expect(reading.referenceC).toBe(50);
    expect(reading.U95Mm).toBeGreaterThan(0.2);
    expect(reading.U95Mm).toBeLessThan(0.8);
  });

  test('the reading names the frames that it rests on', () => {
    const { reading } = rig.outcomes('reading')[0] as ReturnType<typeof rig.outcomes<'reading'>>[number];
    const frames = rig.entries.flatMap((entry) =>
      entry.kind === 'input' && entry.input.kind === 'frame' ? [entry.input] : [],
    );
    const within = frames.filter(
      ({ seq, instrument }) => instrument === 'sonar' && seq >= reading.firstSeq && seq <= reading.lastSeq,
    );
    expect(within).toHaveLength(reading.used + reading.setAside);
  });

  test('the budget holds the scatter and the drift that were seen', () => {
    const { reading } = rig.outcomes('reading')[0] as ReturnType<typeof rig.outcomes<'reading'>>[number];
    const line = (name: string) => reading.budget.find(({ component }) => component === name) ?? expect.fail(name);
    // Noise is uniform within ±0.2 mm: standard deviation 0.2/√3.
    const u = 0.2 / Math.sqrt(3) / Math.sqrt(reading.used);
    expect(line('repeatability').u).toBeGreaterThan(0.5 * u);
    expect(line('repeatability').u).toBeLessThan(3 * u);
    expect(line('settling').u).toBeGreaterThan(0);
  });

  test('the budget adds up to the expanded uncertainty', () => {
    const { reading } = rig.outcomes('reading')[0] as ReturnType<typeof rig.outcomes<'reading'>>[number];
    const squares = reading.budget.reduce((sum, { contributionMm }) => sum + contributionMm * contributionMm, 0);
    expect(reading.U95Mm).toBeCloseTo(reading.coverageFactor * Math.sqrt(squares), 12);
  });
});

test('while it warms, the window gate says why and how long', () => {
  const rig = talkingRig();
  warmUp(rig, 17);
  const gate = rig.gate('window');
  expect(gate).toMatchObject({ open: false, why: 'too-cold', limit: 46, unit: 'Cel' });
  expect(gate.words).toContain('46.0 to 54.0 °C');
  // True time to go at 17 s: 27.0 − 17 = 10.0 s.
  expect(gate.toGo?.s).toBeGreaterThan(6);
  expect(gate.toGo?.s).toBeLessThan(14);
  expect(gate.toGo?.lowS ?? 99).toBeLessThanOrEqual(gate.toGo?.s ?? 0);
});

test('a surface that slops keeps the calm gate shut and says by how much', () => {
  const rig = talkingRig();
  warmUp(rig, 60, (t) => 3 * Math.sin(2 * Math.PI * 0.9 * t));
  expect(rig.outcomes('ready')).toEqual([]);
  expect(rig.gate('calm')).toMatchObject({ open: false, why: 'waves', limit: 1.5 });
  expect(rig.gate('calm').value).toBeGreaterThan(2);
});

test('a level that creeps keeps the settled gate shut', () => {
  const rig = talkingRig();
  warmUp(rig, 60, (t) => 0.1 * t);
  expect(rig.outcomes('ready')).toEqual([]);
  expect(rig.gate('settled')).toMatchObject({ open: false });
  expect(rig.gate('settled').value).toBeGreaterThan(1);
});

test('a few wild values are set aside and counted; many shut the gate', () => {
  const few = talkingRig();
  let n = 0;
  warmUp(few, 60, () => (++n % 11 === 0 ? 90 : 0));
  expect(few.outcomes('reading')).toHaveLength(1);
  expect(few.outcomes('reading')[0]?.reading.setAside).toBeGreaterThan(0);
  expect(Math.abs((few.outcomes('reading')[0]?.reading.levelMm ?? 0) - 62)).toBeLessThan(0.5);
  const many = talkingRig();
  warmUp(many, 60, () => (++n % 3 === 0 ? 40 + (n % 7) : 0));
  expect(many.outcomes('reading')).toEqual([]);
  expect([many.gate('air').open, many.gate('calm').open]).toContain(false);
});

test('a calm sensor that prints one decimal only stays ready: its steps are no wild values', () => {
  const rig = talkingRig();
  const ripple = noise(17);
  // Sum of three uniform numbers: nearly normal, standard deviation 0.05 mm, printed to 0.1 mm.
  rig.run(
    60,
    () => 50 + 0.03 * ripple(),
    () => Math.round(10 * (62.3 + 0.05 * (ripple() + ripple() + ripple()))) / 10,
  );
  expect(rig.outcomes('ready').map(({ ready }) => ready)).toEqual([true]);
  expect(rig.outcomes('reading')).toHaveLength(1);
});

test('pouring in after ready shuts the gate; calm again yields a second reading', () => {
  const rig = talkingRig();
  warmUp(rig, 100, (t) => (t < 50 ? 0 : 4 * Math.exp(-(t - 50) / 4) * Math.sin(5 * t) + 3));
  expect(rig.outcomes('ready').map(({ ready }) => ready)).toEqual([true, false, true]);
  const [first, second] = rig.outcomes('reading').map(({ reading }) => reading.levelMm) as [number, number];
  expect(second - first).toBeGreaterThan(2.7);
  expect(second - first).toBeLessThan(3.3);
});

test('a few lost frames shut ready for a moment, but do not make a second reading of the same spell', () => {
  const rig = talkingRig();
  warmUp(rig, 60);
  const startUs = rig.tUs;
  for (let ms = 100; ms <= 4000; ms += 100) {
    rig.advanceTo(startUs + ms * 1000);
    if (ms % 200 === 0) rig.line('sonar', `sonar;${(62.2 + ((ms / 100) % 7) / 50).toFixed(2)};mm;q=80`);
    if (ms >= 1100 && ms % 500 === 100) rig.line('probe', 'T=51.00 C ok');
  }
  expect(rig.outcomes('ready').map(({ ready }) => ready)).toEqual([true, false, true]);
  expect(rig.outcomes('reading')).toHaveLength(1);
});

test('a longer silence ends the spell: the level must be watched anew', () => {
  const rig = talkingRig();
  warmUp(rig, 60);
  const startUs = rig.tUs;
  for (let ms = 100; ms <= 16_000; ms += 100) {
    rig.advanceTo(startUs + ms * 1000);
    if (ms % 200 === 0) rig.line('sonar', `sonar;${(62.3 + ((ms / 100) % 7) / 50).toFixed(2)};mm;q=80`);
    if (ms >= 3000 && ms % 500 === 0) rig.line('probe', 'T=51.00 C ok');
  }
  expect(rig.outcomes('ready').map(({ ready }) => ready)).toEqual([true, false, true]);
  expect((rig.outcomes('ready')[2]?.tUs ?? 0) - startUs).toBeGreaterThan(4.2e6);
  expect(rig.outcomes('reading')).toHaveLength(2);
});

test('silence makes the level stale after three intervals and the instrument lost after two seconds', () => {
  const rig = talkingRig();
  warmUp(rig, 40);
  const startUs = rig.tUs;
  for (let ms = 500; ms <= 5000; ms += 500) {
    rig.advanceTo(startUs + ms * 1000);
    rig.line('probe', 'T=50.00 C ok');
  }
  const shut = rig.outcomes('ready').at(-1);
  expect(shut).toMatchObject({ ready: false, shut: expect.arrayContaining(['fresh']) });
  expect((shut?.tUs ?? 0) - startUs).toBeLessThanOrEqual(600_001);
  const alarms = rig.outcomes('alarm');
  expect(alarms.map(({ source, state }) => [source, state])).toEqual([['sonar', 'active']]);
  rig.line('sonar', 'sonar;62.00;mm;q=80');
  expect(rig.outcomes('alarm').at(-1)).toMatchObject({ source: 'sonar', state: 'returned' });
});

test('an instrument that talks nonsense is lost, not silently trusted', () => {
  const rig = talkingRig();
  for (let ms = 0; ms < 3000; ms += 200) {
    rig.advanceTo(ms * 1000);
    rig.line('sonar', 'sonar;??;mm;q=80');
  }
  expect(rig.outcomes('alarm').map(({ source }) => source)).toContain('sonar');
});

test('a level that has gone silent does not count as calm when the temperature comes back first', () => {
  const rig = talkingRig();
  warmUp(rig, 60);
  const startUs = rig.tUs;
  rig.advanceTo(startUs + 3_000_000);
  rig.line('probe', 'T=51.00 C ok');
  expect(rig.gate('settled')).toMatchObject({ open: false, why: 'no-value-yet' });
  rig.advanceTo(startUs + 3_100_000);
  rig.line('sonar', 'sonar;62.25;mm;q=80');
  expect(rig.outcomes('ready').map(({ ready }) => ready)).toEqual([true, false]);
});

test('a value out of range is bad and counts for nothing', () => {
  const rig = talkingRig();
  rig.line('probe', 'T=85.00 C ok');
  const before = rig.state?.channels.temperature?.good;
  const [sample] = rig.line('probe', 'T=999.90 C ok');
  expect(sample).toMatchObject({ kind: 'sample', quality: 'bad', reason: 'out-of-range' });
  expect(rig.state?.channels.temperature?.good).toBe(before);
});

test('a gap empties the window: nothing before it is joined to what comes', () => {
  const rig = talkingRig();
  warmUp(rig, 40);
  rig.admit({ kind: 'gap', cause: 'clock-jump', lostUs: 5e6, lostFrames: 0, ongoing: false });
  expect(rig.outcomes('ready').at(-1)?.ready).toBe(false);
  expect(rig.gate('settled')).toMatchObject({ open: false, why: 'no-value-yet' });
});

test('while the record cannot be kept, nothing is read', () => {
  const rig = talkingRig();
  rig.admit({ kind: 'gap', cause: 'journal-behind', lostUs: 0, lostFrames: 0, ongoing: true });
  warmUp(rig, 60);
  expect(rig.outcomes('reading')).toEqual([]);
  expect(rig.gate('record')).toMatchObject({ open: false, why: 'not-recording' });
});

test('a driver that throws loses its frame, says so once, and the rest goes on', () => {
  const throwing = {
    ...drivers,
    columns: {
      ...(drivers.columns as NonNullable<typeof drivers.columns>),
      decode: () => {
        throw new Error('boom');
      },
    },
  };
  const rig = new CoreRig(testBench, throwing);
  rig.open('probe');
  rig.open('sonar');
  warmUp(rig, 5);
  expect(rig.outcomes('fault')).toMatchObject([{ source: 'sonar', code: 'driver-failed' }]);
  expect(rig.outputs.some((output) => output.kind === 'sample' && output.channel === 'temperature')).toBe(true);
});

describe('actions', () => {
  const action = (body: object, expectedRevision: number, role = 'technician') =>
    ({ kind: 'action', actionId: `a-${expectedRevision}`, actor: 'Ines', role, expectedRevision, body }) as never;

  test('a reading may be asked for when ready, and is marked so', () => {
    const rig = talkingRig();
    warmUp(rig, 60);
    rig.admit(action({ type: 'take-reading' }, 0));
    expect(rig.outcomes('action')).toMatchObject([{ accepted: true, revision: 1 }]);
    expect(rig.outcomes('reading').map(({ reading }) => reading.cause)).toEqual(['ready', 'asked']);
  });

  test.each([
    ['not ready', { type: 'take-reading' }, 0, 'technician', 'not-ready'],
    ['a stale view', { type: 'note', text: 'x' }, 3, 'technician', 'stale-revision'],
    ['a viewer', { type: 'note', text: 'x' }, 0, 'viewer', 'role'],
    ['no job', { type: 'close-job' }, 0, 'technician', 'no-job'],
  ])('%s is refused, with an outcome', (_case, body, revision, role, refusal) => {
    const rig = talkingRig();
    rig.admit(action(body, revision, role));
    expect(rig.outcomes('action')).toMatchObject([{ accepted: false, refusal, revision: 0 }]);
    expect(rig.outputs.filter((output) => output.kind === 'outcome')).toHaveLength(1);
  });

  test('a job opens once, counts its readings, and closes', () => {
    const rig = talkingRig();
    rig.admit(action({ type: 'start-job', label: 'lift 4' }, 0));
    rig.admit(action({ type: 'start-job', label: 'again' }, 1));
    expect(rig.outcomes('action').at(-1)).toMatchObject({ refusal: 'job-open' });
    warmUp(rig, 60);
    rig.admit(action({ type: 'take-reading' }, 1));
    rig.admit(action({ type: 'close-job' }, 2));
    expect(rig.outcomes('job')).toMatchObject([
      { change: 'started', job: { id: 1, label: 'lift 4', readings: 0 } },
      { change: 'closed', job: { id: 1, readings: 2 } },
    ]);
    expect(rig.outcomes('reading')[0]?.reading.job).toBe(1);
    expect(rig.state?.carried.job).toBeNull();
  });
});

describe('determinism', () => {
  const rig = talkingRig();
  warmUp(rig, 40);
  rig.admit({
    kind: 'action',
    actionId: 'note-0001',
    actor: 'Ines',
    role: 'technician',
    expectedRevision: 0,
    body: { type: 'note', text: 'ü' },
  });

  test('the same inputs give the same outcomes', () => {
    const comparison = compareEntries(rig.entries, drivers);
    expect(comparison).toMatchObject({ difference: null, runs: 1, remarks: [] });
    expect(comparison.compared).toBe(rig.entries.filter(({ kind }) => kind === 'outcome').length);
    expect(comparison.compared).toBeGreaterThan(2);
  });

  test('a changed byte in a frame shows as a different outcome', () => {
    const entries = structuredClone(rig.entries);
    for (const entry of entries)
      if (entry.kind === 'input' && entry.input.kind === 'frame' && entry.input.instrument === 'sonar')
        (entry.input.bytes as Uint8Array)[9] = 48;
    expect(compareEntries(entries, drivers).difference).toMatchObject({ run: 1 });
  });

  test('a missing and an added outcome both show', () => {
    const at = rig.entries.findIndex(({ kind }) => kind === 'outcome');
    const missing = rig.entries.filter((_, index) => index !== at);
    expect(compareEntries(missing, drivers).difference?.stored ?? null).not.toEqual(rig.entries[at]);
    const added = [...rig.entries, rig.entries[at] as (typeof rig.entries)[number]];
    expect(compareEntries(added, drivers).difference?.recomputed).toBeNull();
  });

  test('an outcome that is missing where another input follows shows', () => {
    const at = rig.entries.findLastIndex(({ kind }) => kind === 'outcome');
    const last = rig.entries[at];
    const tick = { kind: 'input', input: { kind: 'tick', seq: rig.seq + 1, tUs: rig.tUs } } as const;
    const cut = [...rig.entries.slice(0, at), ...rig.entries.slice(at + 1), tick];
    expect(compareEntries(cut, drivers).difference).toMatchObject({
      stored: null,
      recomputed: last?.kind === 'outcome' ? last.outcome : expect.fail('no outcome'),
    });
  });

  test('the state survives structuredClone at every step', () => {
    const pipeline = createPipeline(drivers);
    let state: State | null = null;
    const outcomes: unknown[] = [];
    for (const entry of rig.entries) {
      if (entry.kind === 'outcome') continue;
      const step = pipeline.step(structuredClone(state), structuredClone(entry.input));
      state = step.state;
      for (const output of step.outputs) if (output.kind === 'outcome') outcomes.push(output.outcome);
    }
    expect(outcomes).toEqual(rig.outputs.flatMap((output) => (output.kind === 'outcome' ? [output.outcome] : [])));
  });
});

describe('a reading taken anyway', () => {
  const act = (rig: CoreRig, anyway?: string) =>
    rig.admit({
      kind: 'action',
      actionId: `anyway-${rig.seq}`,
      actor: 'Ines',
      role: 'technician',
      expectedRevision: rig.state?.carried.revision ?? 0,
      body: anyway === undefined ? { type: 'take-reading' } : { type: 'take-reading', anyway },
    });

  test('needs a reason, is marked as such, and its reason is kept', () => {
    const rig = talkingRig();
    warmUp(rig, 15);
    act(rig);
    act(rig, '   ');
    expect(rig.outcomes('action').map(({ refusal }) => refusal)).toEqual(['not-ready', 'not-ready']);
    act(rig, 'the customer waits');
    expect(rig.outcomes('action').at(-1)).toMatchObject({ accepted: true, body: { anyway: 'the customer waits' } });
    expect(rig.outcomes('reading').map(({ reading }) => reading.cause)).toEqual(['anyway']);
  });

  test('is refused where there is no level at all', () => {
    const rig = talkingRig();
    act(rig, 'why not');
    expect(rig.outcomes('action').at(-1)?.refusal).toBe('not-ready');
    expect(rig.outcomes('reading')).toEqual([]);
  });
});

test('a level without any noise gives a reading of finite numbers', () => {
  const rig = talkingRig();
  rig.run(
    25,
    () => 50,
    () => 62,
  );
  const { reading } = rig.outcomes('reading')[0] ?? expect.fail('no reading');
  for (const number of [
    reading.levelMm,
    reading.U95Mm,
    ...reading.budget.flatMap(({ u, sensitivity }) => [u, sensitivity]),
  ])
    expect(Number.isFinite(number)).toBe(true);
});

test('after a burst of values that were all the same, ready does not flap', () => {
  const rig = talkingRig();
  const ripple = noise(3);
  const swaying = () => 62.3 + 0.08 * ripple();
  rig.run(40, () => 50, swaying);
  const beganUs = rig.tUs;
  for (let i = 0; i < 20_000; i++) {
    rig.advanceTo(beganUs + i * 250);
    rig.line('sonar', 'sonar;62.30;mm;q=80');
    if (i % 100 === 0) rig.line('probe', 'T=50.00 C ok');
  }
  const before = rig.outcomes('ready').length;
  rig.run(120, () => 50, swaying);
  // One spell may end with the burst, and one begin after it.
  expect(rig.outcomes('ready').length - before).toBeLessThanOrEqual(4);
  expect(rig.state?.ready).toBe(true);
});
