import { describe, expect, it } from 'vitest';
import { type Point, Trace, valueRange } from '../../src/page/trace.ts';
import { historyPath, Traces } from '../../src/page/traces.ts';
import { BENCH, history, LEVEL, TEMPERATURE, waiting } from './scenes.ts';

const at = (tS: number, value = tS): Point => ({ tS, low: value, high: value, beside: null });

function filled(...times: number[]): Trace {
  const trace = new Trace(1000, 600);
  for (const tS of times) trace.push(at(tS), 0.02);
  return trace;
}

describe('A trace', () => {
  it('draws a gap where two points are too far apart, and only there', () => {
    const [x, low] = filled(1, 2, 3, 8, 9).columns(0, 2.5);
    expect(x).toEqual([1, 2, 3, 5.5, 8, 9]);
    expect(low).toEqual([1, 2, 3, null, 8, 9]);
  });

  it('leaves out a value that is seen again, and a late one', () => {
    const trace = filled(1, 1, 1.01, 2, 1.5);
    expect(trace.columns(0, 10)[0]).toEqual([1, 2]);
  });

  it('stays in order when the clock of the bench is set back', () => {
    expect(filled(100, 101, 102, 90, 91).columns(0, 1e6)[0]).toEqual([90, 91]);
    expect(filled(80, 85, 102, 84, 86).columns(0, 1e6)[0]).toEqual([80, 84, 86]);
  });

  it('never holds more than it may, by number and by time', () => {
    const trace = new Trace(50, 600);
    for (let i = 0; i < 500; i += 1) trace.push(at(i * 0.1), 0.02);
    expect(trace.size).toBeLessThanOrEqual(50);
    expect(trace.last?.tS).toBeCloseTo(49.9);
    const slow = new Trace(1000, 600);
    for (let i = 0; i < 300; i += 1) slow.push(at(i * 10), 0.02);
    expect(slow.columns(-1e9, 1e9)[0][0]).toBeGreaterThanOrEqual(2990 - 660);
  });

  it('is filled from history where it has nothing of its own', () => {
    const trace = filled(10, 11, 20);
    trace.seed([at(15, 0), at(5, 0), at(11.2, 0), at(10, 0), at(25, 0)], 0.5);
    const [x, low] = trace.columns(0, 1e6);
    expect(x).toEqual([5, 10, 11, 15, 20, 25]);
    expect(low).toEqual([0, 10, 11, 0, 20, 0]);
  });

  it('takes history twice without doubling it', () => {
    const trace = new Trace(1000, 600);
    const past = [at(1), at(2), at(3)];
    trace.seed(past, 0.5);
    trace.seed(past, 0.5);
    expect(trace.columns(0, 1e6)[0]).toEqual([1, 2, 3]);
  });
});

describe('The value axis', () => {
  const columns = (...values: number[]) =>
    filled(...values.map((_, i) => i))
      .columns(0, 1e6)
      .map((c, i) => (i === 0 ? c : i === 3 ? [] : values)) as Parameters<typeof valueRange>[0];

  it('is not flattened by one wild value', () => {
    const calm = Array.from({ length: 400 }, (_, i) => 60 + (i % 10) / 10);
    const [low, high] = valueRange(columns(...calm.slice(0, 200), 4000, ...calm.slice(200)), [], 2);
    expect(low).toBeGreaterThan(58);
    expect(high).toBeLessThan(63);
  });

  it('holds the newest value and what must be seen, and is never too short', () => {
    const [low, high] = valueRange(columns(20, 20, 20, 20, 31), [45, 55], 4);
    expect(low).toBeLessThanOrEqual(20);
    expect(high).toBeGreaterThanOrEqual(55);
    const [bottom, top] = valueRange(columns(62, 62), [], 2);
    expect(top - bottom).toBeGreaterThanOrEqual(2);
    expect(valueRange(columns(), [], 2)).toEqual([0, 2]);
  });
});

describe('The traces of the page', () => {
  const T0 = Date.parse('2031-05-06T08:00:00.000Z');

  it('take good values at the time when they were measured', () => {
    const traces = new Traces();
    traces.hear(BENCH, waiting(T0));
    expect(traces.temperature.last).toMatchObject({ tS: T0 / 1000 - 0.1, high: 41.6, beside: null });
    expect(traces.level.last?.beside).toBeCloseTo(62.3, 0);
    expect(traces.nowS).toBe(T0 / 1000);
  });

  it('take no stale and no doubtful value', () => {
    const traces = new Traces();
    const live = waiting(T0);
    Object.assign(live.channels[LEVEL] ?? {}, { quality: 'suspect', reason: 'reported' });
    Object.assign(live.channels[TEMPERATURE] ?? {}, { stale: true });
    traces.hear(BENCH, live);
    expect([traces.level.size, traces.temperature.size]).toEqual([0, 0]);
  });

  it('are seeded from the history of the bench, whose holes stay holes', () => {
    const traces = new Traces();
    let told = 0;
    traces.subscribe(() => {
      told += 1;
    });
    traces.hear(BENCH, waiting(T0));
    traces.seed('temperature', history(TEMPERATURE, 600, T0, 41.6));
    const [, low] = traces.temperature.columns(0, traces.gapS('temperature'));
    expect(traces.temperature.size).toBeGreaterThan(300);
    expect(low.filter((v) => v === null)).toHaveLength(1);
    expect(told).toBe(2);
    traces.restart();
    expect(traces.temperature.size).toBe(0);
  });

  it('ask for ten minutes of a channel, whatever its name', () => {
    expect(historyPath('a&b c')).toBe('/api/history?channel=a%26b%20c&seconds=600&most=600');
  });
});
