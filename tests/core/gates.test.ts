import { describe, expect, test } from 'vitest';
import type { GateId } from '../../src/core/events.ts';
import { emptyForecast } from '../../src/core/forecast.ts';
import { ALL_SHUT, type GateFacts, judgeGates, type OpenBefore } from '../../src/core/gates.ts';
import { addPoint, emptySteadiness, judge } from '../../src/core/steadiness.ts';
import { testBench } from '../support/bench.ts';

const ALL_OPEN = Object.fromEntries(Object.keys(ALL_SHUT).map((id) => [id, true])) as unknown as OpenBefore;
const WINDOW = testBench.measure.window;

/** A calm level of 62 mm for 8 s at 5 Hz, with `mm` deciding what it does and `c` how warm it is. */
function watched(mm: (i: number) => number = () => 62, c: (i: number) => number = () => 50) {
  const state = emptySteadiness();
  for (let i = 0; i <= 40; i++)
    addPoint(state, { tUs: i * 200_000, seq: i + 1, mm: mm(i), rawMm: mm(i), temperatureC: c(i) }, 6_000_000);
  return judge(state, 0.01, WINDOW);
}

function gate(id: GateId, facts: Partial<GateFacts>, before: OpenBefore = ALL_SHUT) {
  const fresh = { ageUs: 0, staleAfterUs: 1_000_000 };
  const all = judgeGates(
    {
      measure: testBench.measure,
      recording: true,
      level: { id: 'level', value: 62, ...fresh },
      temperature: { id: 'temperature', value: 50, ...fresh },
      calm: watched(),
      forecast: emptyForecast(),
      ...facts,
    } as GateFacts,
    before,
  );
  return all.find((one) => one.id === id) ?? expect.fail(`no gate ${id}`);
}

const at = (value: number) => ({ temperature: { id: 'temperature', value, ageUs: 0, staleAfterUs: 1_000_000 } });

test('with everything calm, warm and fresh, all six are open', () => {
  for (const id of Object.keys(ALL_SHUT) as GateId[]) expect(gate(id, {}).open, id).toBe(true);
});

describe('the window', () => {
  test.each([
    ['shut', 45.9, ALL_SHUT, false],
    ['shut', 46.1, ALL_SHUT, false],
    ['shut', 46.3, ALL_SHUT, true],
    ['open', 46.1, ALL_OPEN, true],
    ['open', 45.9, ALL_OPEN, false],
    ['shut', 53.8, ALL_SHUT, false],
    ['open', 53.8, ALL_OPEN, true],
    ['open', 54.1, ALL_OPEN, false],
  ])('%s before, %d °C', (_was, celsius, before, open) => {
    expect(gate('window', at(celsius), before).open).toBe(open);
  });

  test('too cold names the lower limit, too hot the upper', () => {
    expect(gate('window', at(40))).toMatchObject({ why: 'too-cold', limit: 46, value: 40 });
    expect(gate('window', at(60))).toMatchObject({ why: 'too-hot', limit: 54 });
  });
});

describe('the spread', () => {
  const ripple = (size: number) => ({ calm: watched((i) => 62 + (i % 2 === 0 ? size / 2 : -size / 2)) });

  test('opens at its limit and shuts only a quarter above it', () => {
    expect(gate('spread', ripple(1.19)).open).toBe(true);
    expect(gate('spread', ripple(1.3)).open).toBe(false);
    expect(gate('spread', ripple(1.3), ALL_OPEN).open).toBe(true);
    expect(gate('spread', ripple(1.6), ALL_OPEN).open).toBe(false);
  });

  test('two wild values are set aside, three in a row are a move', () => {
    const wild = (from: number, to: number) => watched((i) => (i >= from && i < to ? 90 : 62 + (i % 2) / 10));
    expect(wild(20, 22)).toMatchObject({ setAside: 2 });
    expect(wild(20, 22)?.spreadMm).toBeCloseTo(0.1, 9);
    expect(wild(20, 23)).toMatchObject({ setAside: 0 });
    expect(wild(20, 23)?.spreadMm).toBeCloseTo(28, 9);
  });
});

describe('the drift', () => {
  // 0.2 s steps: a slope of 2 mm/min is 2/300 mm a step, exactly, without doubt about it.
  const rising = (mmPerMin: number, noise = 0) => ({
    calm: watched((i) => 62 + (mmPerMin * i) / 300 + (i % 2 === 0 ? noise : -noise)),
  });

  test('is judged with the doubt about it: surely small to open, surely large to shut', () => {
    expect(gate('drift', rising(1.9)).open).toBe(true);
    expect(gate('drift', rising(2.1)).open).toBe(false);
    expect(gate('drift', rising(1.9, 0.2)).open).toBe(false);
    expect(gate('drift', rising(2.1, 0.2), ALL_OPEN).open).toBe(true);
    expect(gate('drift', rising(4, 0.2), ALL_OPEN).open).toBe(false);
  });

  test('says which way', () => {
    expect(gate('drift', rising(5))).toMatchObject({ why: 'rising' });
    expect(gate('drift', rising(-5))).toMatchObject({ why: 'falling' });
  });
});

describe('watched', () => {
  test('counts only what was measured within the window', () => {
    const late = watched(
      () => 62,
      (i) => (i < 30 ? 45 : 47),
    );
    expect(late?.spanUs).toBeGreaterThanOrEqual(6e6);
    expect(late?.countedUs).toBe(2e6);
    expect(gate('watched', { calm: late })).toMatchObject({ open: false, value: 2, limit: 6, toGo: { s: 4 } });
  });
});

test('stale and missing values shut the fresh gate with their name', () => {
  const old = { level: { id: 'level', value: 62, ageUs: 1_500_000, staleAfterUs: 1_000_000 } };
  expect(gate('fresh', old)).toMatchObject({ open: false, value: 1.5, words: 'No new level value for 1.5 s.' });
  const none = { level: { id: 'level', value: null, ageUs: null, staleAfterUs: 1_000_000 } };
  expect(gate('fresh', none)).toMatchObject({ open: false, words: 'No level value yet.' });
});
