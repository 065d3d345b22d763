import { describe, expect, it } from 'vitest';
import { freshness } from '../../src/page/judge.ts';
import { recalled, stateToKeep } from '../../src/page/kept-state.ts';
import { reduce, resumeFrom, START, type View } from '../../src/page/state.ts';
import { readingEvent, ready, readyEvent, snapshot, TEMPERATURE } from './scenes.ts';

const T0 = Date.parse('2031-05-06T08:00:00.000Z');
const HOUR_MS = 3_600_000;
const HELLO = {
  type: 'hello',
  protocol: 1,
  software: '0.1.0',
  bench: 'Bay 2',
  journal: 'first',
  lastEvent: 40,
} as const;

const seen = [HELLO, snapshot(ready(T0)), readingEvent(41, T0)].reduce<View>(
  (view, message) => reduce(view, { kind: 'heard', message, atMs: 1000 }),
  START,
);
/** As it comes back from the storage of a browser. */
const kept = (view: View) => JSON.parse(JSON.stringify(stateToKeep(view, T0, 1000))) as unknown;

describe('The last state of a bench', () => {
  it('opens again as old as it is, with nothing of it live', () => {
    const again = recalled(kept(seen), T0 + 3 * HOUR_MS, 50);
    expect(again).toMatchObject({ link: 'connecting', revision: 12, lastEvent: 41, job: seen.job });
    expect(again.lastReading?.reading.id).toBe(17);
    const { old, ageS } = freshness(again, TEMPERATURE, 50);
    expect(old).toBe(true);
    expect(ageS).toBeCloseTo(3 * 3600 + 0.1, 1);
  });

  it('takes up again where it was, and tells what was missed', () => {
    const again = recalled(kept(seen), T0 + HOUR_MS, 50);
    expect(resumeFrom(again)).toEqual({ since: 41, journal: 'first' });
    const live = [HELLO, readyEvent(42, T0, false), snapshot(ready(T0 + HOUR_MS), { event: 42 })].reduce<View>(
      (view, message) => reduce(view, { kind: 'heard', message, atMs: 900 }),
      again,
    );
    expect(live.link).toBe('live');
    expect(live.missed?.events).toHaveLength(1);
    expect((live.missed?.toMs ?? 0) - (live.missed?.fromMs ?? 0)).toBe(HOUR_MS + 850);
  });

  it('is lost, not looked for, as soon as one attempt has failed', () => {
    expect(reduce(recalled(kept(seen), T0, 50), { kind: 'lost', atMs: 60 }).link).toBe('lost');
  });

  it('is not younger than now by a clock that was set back', () => {
    expect(recalled(kept(seen), T0 - HOUR_MS, 50).heardAtMs).toBe(50);
  });

  it('is not kept before the bench was heard', () => {
    expect(stateToKeep(START, T0, 0)).toBeNull();
  });

  it.each([
    ['nothing', null],
    ['text', 'x'],
    ['another build', { ...(kept(seen) as object), by: 'http://elsewhere/main.js' }],
    ['another protocol', { ...(kept(seen) as object), hello: { ...HELLO, protocol: 2 } }],
    ['half of it', { ...(kept(seen) as object), snapshot: { type: 'snapshot' } }],
  ])('opens with nothing where %s was kept', (_, found) => {
    expect(recalled(found, T0, 50)).toEqual(START);
  });
});
