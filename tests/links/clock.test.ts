import { stat } from 'node:fs';
import { afterEach, describe, expect, it, vi } from 'vitest';
import { realClock, virtualClock } from '../../src/links/clock.ts';

const DAY_US = 86_400_000_000;

describe('the real clock', () => {
  afterEach(() => vi.useRealTimers());

  it('counts whole microseconds from its making and never backwards', () => {
    const clock = realClock();
    const first = clock.nowUs();
    expect(first).toBeLessThan(1_000_000);
    let last = first;
    for (let i = 0; i < 10_000; i++) {
      const now = clock.nowUs();
      if (!Number.isSafeInteger(now) || now < last) expect.fail(`${last} then ${now}`);
      last = now;
    }
    expect(last).toBeGreaterThan(first);
  });

  it('fires a timer not before its time', async () => {
    const clock = realClock();
    for (let i = 0; i < 20; i++) {
      const dueUs = clock.nowUs() + 1_500 + i * 37;
      await new Promise<void>((resolve) => clock.at(dueUs, resolve));
      expect(clock.nowUs()).toBeGreaterThanOrEqual(dueUs);
    }
  });

  it('fires a timer whose time has passed, but never within the call that sets it', async () => {
    const clock = realClock();
    let within = true;
    const fired = new Promise<boolean>((resolve) => clock.at(-1, () => resolve(within)));
    within = false;
    expect(await fired).toBe(false);
  });

  it('keeps a timer of 60 days, beyond what the timers of Node can count', () => {
    vi.useFakeTimers({ toFake: ['setTimeout', 'clearTimeout', 'hrtime'] });
    const clock = realClock();
    const run = vi.fn();
    clock.at(60 * DAY_US, run);
    vi.advanceTimersByTime(60 * 86_400_000 - 1);
    expect(run).not.toHaveBeenCalled();
    vi.advanceTimersByTime(1);
    expect(run).toHaveBeenCalledTimes(1);
    expect(vi.getTimerCount()).toBe(0);
  });

  it('forgets a cancelled timer, also in the second part of a long one', () => {
    vi.useFakeTimers({ toFake: ['setTimeout', 'clearTimeout', 'hrtime'] });
    const clock = realClock();
    const run = vi.fn();
    clock.at(1_000, run)();
    const cancelLong = clock.at(60 * DAY_US, run);
    vi.advanceTimersByTime(30 * 86_400_000);
    cancelLong();
    expect(vi.getTimerCount()).toBe(0);
    vi.advanceTimersByTime(60 * 86_400_000);
    expect(run).not.toHaveBeenCalled();
  });

  it('knows the wall clock and its zone', () => {
    const clock = realClock();
    expect(Math.abs(clock.utcMs() - Date.now())).toBeLessThan(1_000);
    const { name, offsetMin } = clock.zone();
    expect(name).toBe(Intl.DateTimeFormat().resolvedOptions().timeZone);
    expect(offsetMin).toBe(-new Date().getTimezoneOffset() + 0);
    expect(Object.is(offsetMin, -0)).toBe(false);
  });

  it('ends the turn after its promises, and before a timer that is due already', async () => {
    const clock = realClock();
    const order: string[] = [];
    await new Promise<void>((resolve) => {
      // from within an I/O callback, where the order of the event loop is certain
      stat('.', () => {
        clock.at(0, () => {
          order.push('timer');
          resolve();
        });
        clock.endOfTurn(() => order.push('end of turn'));
        void Promise.resolve().then(() => order.push('promise'));
        order.push('now');
      });
    });
    expect(order).toEqual(['now', 'promise', 'end of turn', 'timer']);
  });
});

describe('the virtual clock', () => {
  it('fires timers in order of their time, equal ones as they were set, each at its own time', () => {
    const clock = virtualClock();
    const fired: string[] = [];
    const note = (name: string) => () => fired.push(`${name}@${clock.nowUs()}`);
    clock.at(30, note('c'));
    clock.at(10, note('a1'));
    clock.at(20, note('b'));
    clock.at(10, note('a2'));
    clock.advanceTo(9);
    expect(fired).toEqual([]);
    clock.advanceTo(25);
    expect(fired).toEqual(['a1@10', 'a2@10', 'b@20']);
    expect([clock.nowUs(), clock.nextUs()]).toEqual([25, 30]);
    clock.advanceTo(30);
    expect(fired.at(-1)).toBe('c@30');
    expect(clock.nextUs()).toBeNull();
  });

  it('fires timers that are set by timers within the same stretch, late ones at once', () => {
    const clock = virtualClock();
    const fired: number[] = [];
    clock.at(10, () => {
      clock.at(5, () => fired.push(clock.nowUs()));
      clock.at(15, () => fired.push(clock.nowUs()));
      clock.at(99, () => fired.push(clock.nowUs()));
    });
    clock.advanceTo(50);
    expect(fired).toEqual([10, 15]);
    expect(clock.nowUs()).toBe(50);
  });

  it('forgets a cancelled timer, also when cancelled twice or after it fired', () => {
    const clock = virtualClock();
    const run = vi.fn();
    const other = vi.fn();
    const cancel = clock.at(10, run);
    cancel();
    cancel();
    const cancelOther = clock.at(10, other);
    clock.advanceTo(10);
    cancelOther();
    clock.advanceTo(20);
    expect(run).not.toHaveBeenCalled();
    expect(other).toHaveBeenCalledTimes(1);
  });

  it('goes neither backwards nor by itself into a timer that is running', () => {
    const clock = virtualClock();
    clock.advanceTo(10);
    expect(() => clock.advanceTo(9)).toThrow(RangeError);
    expect(() => clock.advanceTo(Number.NaN)).toThrow(RangeError);
    clock.at(20, () => clock.advanceTo(30));
    expect(() => clock.advanceTo(20)).toThrow(/within a timer/);
    clock.advanceTo(40);
    expect(clock.nowUs()).toBe(40);
  });

  it('derives the wall clock from its start, and jumps it alone', () => {
    const clock = virtualClock({ utcMs: 1_700_000_000_000, zone: { name: 'Europe/Lisbon', offsetMin: 60 } });
    expect(clock.utcMs()).toBe(1_700_000_000_000);
    clock.advanceTo(1_500_999);
    expect(clock.utcMs()).toBe(1_700_000_001_500);
    clock.jumpWall(-7_200_000);
    expect([clock.utcMs(), clock.nowUs()]).toEqual([1_699_992_801_500, 1_500_999]);
    clock.jumpWall(7_200_000);
    expect(clock.utcMs()).toBe(1_700_000_001_500);
    expect(clock.zone()).toEqual({ name: 'Europe/Lisbon', offsetMin: 60 });
    expect(virtualClock().zone()).toEqual({ name: 'UTC', offsetMin: 0 });
  });

  it('ends the turn before time moves on, and after each timer', () => {
    const clock = virtualClock();
    const order: string[] = [];
    const note = (name: string) => () => order.push(`${name}@${clock.nowUs()}`);
    clock.endOfTurn(note('first'));
    clock.at(10, () => {
      note('timer')();
      clock.endOfTurn(() => {
        note('second')();
        clock.endOfTurn(note('third'));
      });
    });
    clock.at(20, note('later'));
    expect(order).toEqual([]);
    clock.advanceTo(20);
    expect(order).toEqual(['first@0', 'timer@10', 'second@10', 'third@10', 'later@20']);
    clock.endOfTurn(note('last'));
    clock.advanceTo(20);
    expect(order.at(-1)).toBe('last@20');
  });
});
