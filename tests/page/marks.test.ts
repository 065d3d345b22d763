import { describe, expect, it } from 'vitest';
import type { EventMessage } from '../../src/feed/messages.ts';
import { begin, end, withPast } from '../../src/page/marks.ts';
import { readingEvent, readyEvent } from './scenes.ts';

const T0 = Date.parse('2031-05-06T08:00:00.000Z');
const at = (s: number) => T0 + s * 1000;
const ofRun = (run: number, message: EventMessage): EventMessage => ({
  ...message,
  outcome: { ...message.outcome, run },
});

describe('Ready spells', () => {
  it('begin once, at the earlier of live values and record', () => {
    expect(begin(begin([], at(5)), at(4))).toEqual([{ fromMs: at(4), toMs: null }]);
    expect(begin(begin([], at(5)), at(6))).toEqual([{ fromMs: at(5), toMs: null }]);
  });

  it('never reach back into the one before', () => {
    const two = begin(end(begin([], at(1)), at(3)), at(5));
    expect(begin(two, at(2))).toEqual(two);
  });

  it('end once, never before they began', () => {
    const ended = end(begin([], at(5)), at(4));
    expect(ended).toEqual([{ fromMs: at(5), toMs: at(5) }]);
    expect(end(ended, at(9))).toEqual(ended);
    expect(end([], at(9))).toEqual([]);
  });
});

describe('The past', () => {
  it('is put before what the page saw, and a spell found running began then', () => {
    const events = [readyEvent(1, at(-60), true), readyEvent(2, at(-40), false), readyEvent(3, at(-20), true)];
    const { spells } = withPast(events, [], begin([], at(0)));
    expect(spells).toEqual([
      { fromMs: at(-60), toMs: at(-40) },
      { fromMs: at(-20), toMs: null },
    ]);
  });

  it('does not let a spell run that the page did not find running', () => {
    const { spells } = withPast([readyEvent(1, at(-60), true), readingEvent(2, at(-50))], [], []);
    expect(spells).toEqual([{ fromMs: at(-60), toMs: at(-50) }]);
  });

  it('does not stretch a spell over the time in which the bench was off', () => {
    const events = [
      ofRun(4, readyEvent(1, at(-900), true)),
      ofRun(4, readingEvent(2, at(-899))),
      ofRun(5, readyEvent(3, at(-20), true)),
    ];
    expect(withPast(events, [], begin([], at(0))).spells).toEqual([
      { fromMs: at(-900), toMs: at(-899) },
      { fromMs: at(-20), toMs: null },
    ]);
  });

  it('brings its readings in order, none twice', () => {
    const seen = withPast([readingEvent(9, at(-5))], [], []).marks;
    const { marks } = withPast([readingEvent(7, at(-30)), readingEvent(9, at(-5))], seen, []);
    expect(marks.map((m) => m.event)).toEqual([7, 9]);
  });
});
