import { describe, expect, it } from 'vitest';
import type { Live } from '../../src/feed/messages.ts';
import { announcement, face, freshness, shutGates, together } from '../../src/page/judge.ts';
import { reduce, START, type View } from '../../src/page/state.ts';
import { LEVEL, ready, snapshot, stale, TEMPERATURE, waiting } from './scenes.ts';

const T0 = Date.parse('2031-05-06T08:00:00.000Z');
const HEARD_MS = 10_000;

function seen(live: Live): View {
  return reduce(START, { kind: 'heard', message: snapshot(live), atMs: HEARD_MS });
}

describe('The large state', () => {
  it('has four faces', () => {
    expect(face(START)).toBe('connecting');
    expect(face(seen(waiting(T0)))).toBe('wait');
    expect(face(seen(ready(T0)))).toBe('ready');
    expect(face(reduce(seen(ready(T0)), { kind: 'lost', atMs: HEARD_MS }))).toBe('lost');
  });

  it('puts the gate first that holds up all others, in whatever order they come', () => {
    const live = stale(T0);
    live.gates.reverse();
    expect(shutGates(live).map((g) => g.id)).toEqual(['fresh', 'window', 'settled']);
  });

  it('is announced without a countdown, so that it is spoken once a change', () => {
    expect(announcement(seen(waiting(T0, 38)))).toBe(announcement(seen(waiting(T0, 12))));
    expect(announcement(seen(waiting(T0)))).toMatch(/WAIT.*Temperature window/);
    expect(announcement(seen(ready(T0)))).toMatch(/^READ now\.$/);
  });
});

describe('A value', () => {
  it('is live while it comes in as expected', () => {
    expect(freshness(seen(waiting(T0)), LEVEL, HEARD_MS)).toMatchObject({ known: true, old: false });
  });

  it('is old when the bench says so', () => {
    const young = waiting(T0);
    Object.assign(young.channels[LEVEL] ?? {}, { stale: true });
    expect(freshness(seen(young), LEVEL, HEARD_MS).old).toBe(true);
    const value = freshness(seen(stale(T0)), TEMPERATURE, HEARD_MS);
    expect(value).toMatchObject({ old: true, ageS: 7.4 });
    expect(freshness(seen(stale(T0)), LEVEL, HEARD_MS).old).toBe(false);
  });

  it('is old beyond three intervals and 0.6 s, even where the bench does not say so', () => {
    const live = waiting(T0);
    Object.assign(live.channels[LEVEL] ?? {}, { ageS: 0.61 });
    expect(freshness(seen(live), LEVEL, HEARD_MS).old).toBe(true);
  });

  it('grows old while nothing is heard', () => {
    const view = seen(waiting(T0));
    expect(freshness(view, LEVEL, HEARD_MS + 900).old).toBe(false);
    expect(freshness(view, LEVEL, HEARD_MS + 1100).old).toBe(true);
    // The slower channel may take three of its intervals.
    expect(freshness(view, TEMPERATURE, HEARD_MS + 1350).old).toBe(false);
    expect(freshness(view, TEMPERATURE, HEARD_MS + 1450).old).toBe(true);
  });

  it('is old at once when the line is lost', () => {
    const lost = reduce(seen(ready(T0)), { kind: 'lost', atMs: HEARD_MS });
    expect(freshness(lost, LEVEL, HEARD_MS).old).toBe(true);
  });

  it('is not known before it came', () => {
    expect(freshness(START, LEVEL, 0)).toMatchObject({ known: false, old: true, ageS: null });
  });

  it('is called doubtful after a second of bad values, not for a single one, and does not stay young by them', () => {
    const live = waiting(T0);
    Object.assign(live.channels[LEVEL] ?? {}, { quality: 'bad', reason: 'out-of-range' });
    const bad = (view: View, atMs: number) => reduce(view, { kind: 'heard', message: { type: 'live', ...live }, atMs });
    const first = bad(seen(waiting(T0)), HEARD_MS + 100);
    expect(freshness(first, LEVEL, HEARD_MS + 100)).toMatchObject({ quality: 'good', old: false });
    const later = bad(bad(first, HEARD_MS + 700), HEARD_MS + 1300);
    expect(freshness(later, LEVEL, HEARD_MS + 1300)).toMatchObject({
      quality: 'bad',
      reason: 'out-of-range',
      old: true,
    });
  });

  it('that rests on two channels is as old and as doubtful as the worse of them', () => {
    const view = seen(stale(T0));
    const both = together(freshness(view, LEVEL, HEARD_MS), freshness(view, TEMPERATURE, HEARD_MS));
    expect(both).toMatchObject({ known: true, old: true, ageS: 7.4 });
  });
});
