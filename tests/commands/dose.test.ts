import { writeFileSync } from 'node:fs';
import { mkdtemp, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { amountAt, doneDose, priorTyped } from '../../src/commands/amount-options.ts';
import { type BalanceOptions, balance } from '../../src/commands/balance.ts';
import { type DoseOptions, dose } from '../../src/commands/dose.ts';
import { ROOT } from '../repo/house.ts';

const BENCH = join(ROOT, 'docs/examples/bench.yaml');
const NO_FLUID = `bench: bare
instruments:
  gauge: { driver: columns, separator: ";", columns: [t, mm], link: { tcp: "192.0.2.1:4001" }, every: 1 s }
channels:
  t: { from: gauge.t, unit: °C, uncertainty: 0.3 K }
  mm: { from: gauge.mm, unit: mm, uncertainty: 0.1 mm, range: 0 mm to 200 mm }
measure:
  { level: mm, temperature: t, window: 40 °C to 60 °C, reference: 50 °C, compensation: { slope: 0.1 mm/K, uncertainty: 0.1 mm/K }, steady: { tolerance: 1 mm } }
`;

function asked(options: Partial<DoseOptions>, file = BENCH) {
  let said = '';
  const all = { level: 64, target: 62, pourAt: 20, step: 0.05, measurePercent: 1, takes: 120, ...options };
  const code = dose(file, all, { write: (part) => (said += part) });
  return { code, said };
}

function counted(options: Partial<BalanceOptions>) {
  let said = '';
  const all = { levelU: 0.2, pourAt: 20, measurePercent: 1, eachU: 0.02, allowance: 0, takes: 0, ...options };
  const code = balance(BENCH, all, { write: (part) => (said += part) });
  return { code, said };
}

describe('stillwell dose', () => {
  let dir = '';
  beforeAll(async () => {
    dir = await mkdtemp(join(tmpdir(), 'stillwell-dose-'));
  });
  afterAll(() => rm(dir, { recursive: true, force: true }));

  test('says how much to drain, why, what is expected then, and the cautions', () => {
    const { code, said } = asked({ level: 66, closesIn: 220 });
    expect(code).toBe(0);
    // 42.75 mL per mm by the table around 62 to 66 mm: 0.171 L.
    expect(said).toMatch(
      /^Drain 0\.1[05] L \(± 0\.\d+ L\), then wait and read again\.\n\nThe level stands 4\.0 mm above/,
    );
    expect(said).toContain('0.17 L would bring it there');
    expect(said).toMatch(/^Then 6\d\.\d mm is expected \(± \S+ mm\), .* sure to be within ±1 mm of it\.$/m);
    expect(said).toMatch(/^Shut the tap when the level comes down to 6\d\.\d mm/m);
    expect(said).toContain('One more drain fits before the window closes in 3:40.');
    expect(said).toContain("The maker's current service information goes before");
  });

  test('learns from the doses given, tells a prior from them, and one that did not fit', () => {
    const prior = { mmPerLitre: 12, spread: 5 };
    const first = asked({ level: 72, prior }).said;
    expect(first).toContain('A litre is taken to move it 12 mm');
    const second = asked({ level: 67, prior, done: [{ amount: -0.4, beforeMm: 72, afterMm: 67 }] }).said;
    expect(second).toMatch(
      /^Learned: 12\.\d mm per litre \(± 1\.\d mm\)\. For the next machine of this kind: --prior 12\.\d,/m,
    );
    const odd = asked({ level: 78, prior, done: [{ amount: -0.8, beforeMm: 72, afterMm: 78 }] }).said;
    expect(odd).toMatch(/^After 0\.8 L drained the level stood .* higher than it should/);
  });

  test('a level read again counts besides the one after the last dose', () => {
    const done = [{ amount: -0.1, beforeMm: 70, afterMm: 68 }];
    const stands = (level: number) => Number(/stands (\d+\.\d) mm above/.exec(asked({ level, done }).said)?.[1]);
    expect(stands(68)).toBeLessThan(stands(68.2));
    expect(asked({ level: 69, done }).said).toMatch(/^The level moved from 68\.0 to 69\.0 mm without a dose: a leak/);
    expect(stands(68.2)).toBeLessThan(6.2);
  });

  test('by weight it speaks of kilograms', () => {
    expect(asked({ level: 66, scale: true }).said).toMatch(/^Drain 0\.1[05] kg/);
  });

  test('near enough is left alone, and beyond the table nothing is promised', () => {
    expect(asked({ level: 62.2 }).said).toMatch(/^Nothing to add or drain\./);
    expect(asked({ level: 100, target: 140 })).toMatchObject({ code: 1 });
  });

  test('a bench without a fluid is told what to add; one without a vessel starts from a guess for any machine', () => {
    const file = join(dir, 'bare.yaml');
    writeFileSync(file, NO_FLUID);
    expect(() => asked({}, file)).toThrow(/typical: transmission-oil/);
    writeFileSync(file, `${NO_FLUID}fluid: { typical: transmission-oil }\n`);
    expect(asked({ level: 60 }, file).said).toContain('the vessel not known');
  });
});

describe('stillwell balance', () => {
  test('tells how much to fill in, what must be in before the start, and how fresh it will be', () => {
    const { code, said } = counted({
      ...{ out: [{ amount: 4.1, tC: 62 }], allowance: 0.2, held: 5.5, before: 20, pickUp: 15, takes: 0.8 },
    });
    expect(code).toBe(0);
    // 3.3 % less at 20 °C than at 62 °C.
    expect(said).toMatch(/^Fill in 4\.1\d L at 20 °C \(± \S+ L\):\n {2}3\.9\d L for what went out/);
    expect(said).toMatch(/^Do not start yet: \d\.\d\d L are lacking/m);
    expect(said).toMatch(/^7\d % fresh/m);
  });

  test('closes, or says what may lie behind it', () => {
    const out = [{ amount: 2.1, tC: 50 }];
    const closes = counted({ out, in: [{ amount: 2.09, tC: 20 }], before: 62, after: 63 });
    expect(closes).toMatchObject({ code: 0 });
    expect(closes.said).toContain('It closes:');
    const slip = counted({ out, in: [{ amount: 0.29, tC: 20 }], before: 62, after: 63 });
    expect(slip.code).toBe(1);
    expect(slip.said).toMatch(/It does not close: .* too much.*\n {2}A slip at /);
  });
});

test('amounts as they are typed', () => {
  expect(amountAt('4.1@62')).toEqual({ amount: 4.1, tC: 62 });
  expect(amountAt('4.1@−5')).toEqual({ amount: 4.1, tC: -5 });
  expect(doneDose('-0.4,64.0,61.2')).toEqual({ amount: -0.4, beforeMm: 64, afterMm: 61.2 });
  expect(priorTyped('9.5,1.2')).toEqual({ mmPerLitre: 9.5, spread: 1.2 });
  for (const bad of ['4.1', '-1@20', '4,1@62', '1@2@3', 'x@2', '']) expect(amountAt(bad)).toBeNull();
  for (const bad of ['0.4,64', '0,64,61', '1e3,2,3', '1,2,3,4']) expect(doneDose(bad)).toBeNull();
  for (const bad of ['9.5', '0,1', '9,-1', '9,1,1']) expect(priorTyped(bad)).toBeNull();
});
