import { describe, expect, it } from 'vitest';
import type { ServerMessage } from '../../src/feed/messages.ts';
import { type Happening, reduce, resumeFrom, START, type View } from '../../src/page/state.ts';
import { LEVEL, readingEvent, ready, readyEvent, snapshot, verdictEvent, waiting } from './scenes.ts';

const T0 = Date.parse('2031-05-06T08:00:00.000Z');
const HELLO: ServerMessage = {
  type: 'hello',
  protocol: 1,
  software: '0.1.0',
  bench: 'Bay 2',
  journal: 'first',
  lastEvent: 40,
};

function fold(view: View, ...messages: ServerMessage[]): View {
  return messages.reduce((so, message) => reduce(so, { kind: 'heard', message, atMs: 1000 }), view);
}

const live = (at: number, isReady: boolean): ServerMessage => ({
  type: 'live',
  ...(isReady ? ready(T0 + at) : waiting(T0 + at)),
});
const CONNECTED = fold(START, HELLO, snapshot(waiting(T0)));
const LOST: Happening = { kind: 'lost', atMs: 5000 };

describe('The view of the page', () => {
  it('is live from the first snapshot on, with its revision and where to take up again', () => {
    expect(fold(START, HELLO).link).toBe('connecting');
    expect(CONNECTED).toMatchObject({ link: 'live', revision: 12, lastEvent: 40, heardAtMs: 1000 });
    expect(resumeFrom(START)).toBeNull();
    expect(resumeFrom(CONNECTED)).toEqual({ since: 40, journal: 'first' });
  });

  it('ignores live values before it knows the bench', () => {
    expect(fold(START, HELLO, live(0, true)).live).toBeNull();
  });

  it('keeps what it knew when the line is lost, and takes up again with what was missed', () => {
    const lost = reduce(CONNECTED, LOST);
    expect(lost).toMatchObject({ link: 'lost', linkAtMs: 5000, live: CONNECTED.live });
    const again = fold(lost, HELLO, readingEvent(41, T0 + 9000), snapshot(waiting(T0 + 10_000), { event: 41 }));
    expect(again.link).toBe('live');
    expect(again.marks.map((m) => m.event)).toEqual([41]);
    expect(resumeFrom(again)).toEqual({ since: 41, journal: 'first' });
  });

  it('is still looking for the bench when the first connection fails', () => {
    expect(reduce(START, LOST).link).toBe('connecting');
  });

  it('folds each event once, however often it comes', () => {
    const once = fold(CONNECTED, readingEvent(41, T0), readingEvent(41, T0), readingEvent(40, T0, { id: 3 }));
    expect(once.marks).toHaveLength(1);
    expect(once.lastReading?.reading.id).toBe(17);
    // The snapshot after it carries the same reading: still one mark.
    const again = fold(once, snapshot(waiting(T0), { event: 41, lastReading: once.lastReading }));
    expect(again.marks).toHaveLength(1);
  });

  it('forgets everything of another journal, and keeps the question that is open', () => {
    const asked = reduce(CONNECTED, { kind: 'asked', actionId: 'abcdefgh', type: 'note' });
    const other = fold(fold(asked, readingEvent(41, T0)), { ...HELLO, journal: 'second' });
    expect(other).toMatchObject({ lastEvent: null, live: null, lastReading: null, marks: [], spells: [] });
    expect(other.asking?.actionId).toBe('abcdefgh');
    expect(resumeFrom(other)).toBeNull();
  });

  it('marks a ready spell from live values, once, and ends it', () => {
    const during = fold(CONNECTED, live(1000, true), readyEvent(41, T0 + 1100, true), live(2000, true));
    expect(during.spells).toEqual([{ fromMs: T0 + 1000, toMs: null }]);
    expect(fold(during, live(3000, false)).spells).toEqual([{ fromMs: T0 + 1000, toMs: T0 + 3000 }]);
  });

  it('ends a spell that ended while the line was lost at the time of the event', () => {
    const lost = reduce(fold(CONNECTED, live(1000, true)), LOST);
    const again = fold(lost, HELLO, readyEvent(41, T0 + 4000, false), snapshot(waiting(T0 + 9000), { event: 41 }));
    expect(again.spells).toEqual([{ fromMs: T0 + 1000, toMs: T0 + 4000 }]);
  });

  it('ends a spell at the last live values where the bench cannot say what happened', () => {
    const lost = reduce(fold(CONNECTED, live(1000, true), live(2500, true)), LOST);
    const again = fold(
      lost,
      HELLO,
      { type: 'cannot-replay', since: 40, lastEvent: 4000, why: 'too-many', words: 'Too many.' },
      snapshot(waiting(T0 + 9000), { event: 4000 }),
    );
    expect(again.spells).toEqual([{ fromMs: T0 + 1000, toMs: T0 + 2500 }]);
    expect(again.notice).toEqual({ kind: 'missed-too-much' });
  });

  it('ends a spell at the last live values before the bench went off, whatever it says when it is back', () => {
    const lost = reduce(fold(CONNECTED, live(1000, true), live(2500, true)), LOST);
    // A run of its own clock, begun 60 s later; it was ready when it fell, and is ready again.
    const restarted = <T extends ServerMessage>(message: T): T =>
      JSON.parse(JSON.stringify(message), (key, value) =>
        key === 'tUs' ? value - (T0 % 86_400_000) * 1000 - 60e6 : value,
      );
    const readyAgain = restarted(readyEvent(41, T0 + 95_000, true));
    const then = [snapshot(ready(T0 + 96_000), { event: 41 }), live(97_000, true)].map(restarted);
    const spells = [
      { fromMs: T0 + 1000, toMs: T0 + 2500 },
      { fromMs: T0 + 95_000, toMs: null },
    ];
    expect(fold(lost, HELLO, readyAgain, ...then).spells).toEqual(spells);
    // The same without the event: the values alone tell the new run too.
    expect(fold(lost, HELLO, ...then).spells).toEqual([spells[0], { fromMs: T0 + 96_000, toMs: null }]);
    // Only the line was lost: the bench was ready all the while.
    expect(fold(lost, HELLO, snapshot(ready(T0 + 96_000))).spells).toEqual([{ fromMs: T0 + 1000, toMs: null }]);
  });

  it('remembers since when a value is not good, and forgets it with the next good one', () => {
    const wild = waiting(T0);
    Object.assign(wild.channels[LEVEL] ?? {}, { quality: 'bad', reason: 'out-of-range' });
    const doubted = reduce(CONNECTED, { kind: 'heard', message: { type: 'live', ...wild }, atMs: 2000 });
    const longer = reduce(doubted, { kind: 'heard', message: { type: 'live', ...wild }, atMs: 2600 });
    expect(longer.doubtSinceMs).toEqual({ [LEVEL]: 2000 });
    expect(fold(longer, live(3000, false)).doubtSinceMs).toEqual({});
  });

  it('counts the readings of the open job', () => {
    expect(fold(CONNECTED, readingEvent(41, T0), readingEvent(42, T0, { job: 9 })).job?.readings).toBe(3);
  });

  it('follows jobs and faults', () => {
    const numbered = { run: 5, seq: 1, tUs: 0, algorithm: 1 };
    const utc = new Date(T0).toISOString();
    const event = (outcome: Extract<ServerMessage, { type: 'event' }>['outcome']): ServerMessage => ({
      type: 'event',
      utc,
      outcome,
    });
    const cleared = fold(
      CONNECTED,
      event({
        kind: 'job',
        ...numbered,
        event: 44,
        change: 'closed',
        job: { id: 3, label: 'x', readings: 2, referenceC: null },
      }),
      event({ kind: 'fault', ...numbered, event: 45, source: 'echo', code: 'driver-failed', detail: 'line 3' }),
    );
    expect(cleared.job).toBeNull();
    expect(cleared.fault).toEqual({ source: 'echo', code: 'driver-failed', detail: 'line 3' });
  });
});

describe('A match', () => {
  it('has a target and its newest verdict; both go with the job', () => {
    const numbered = { run: 5, seq: 1, tUs: 0, algorithm: 1 };
    const utc = new Date(T0).toISOString();
    const target = { from: 'level', levelMm: 62, uMm: 0.1 } as const;
    const set = fold(CONNECTED, { type: 'event', utc, outcome: { kind: 'target', ...numbered, event: 41, target } });
    expect(set).toMatchObject({ target, verdict: null });
    const judged = fold(set, verdictEvent(42, T0));
    expect(judged.verdict?.result).toBe('undecided');
    const again = fold(judged, { type: 'event', utc, outcome: { kind: 'target', ...numbered, event: 43, target } });
    expect(again.verdict).toBeNull();
    const job = { id: 3, label: 'x', readings: 2, referenceC: null };
    const closed = fold(judged, {
      type: 'event',
      utc,
      outcome: { kind: 'job', ...numbered, event: 43, change: 'closed', job },
    });
    expect(closed).toMatchObject({ job: null, target: null, verdict: null });
  });
});

describe('A question to the bench', () => {
  const asked = reduce(CONNECTED, { kind: 'asked', actionId: 'question-1', type: 'take-reading' });
  const result = { type: 'action-result', actionId: 'question-1', words: 'Shut.', event: 41 } as const;

  it('is answered by the result of its own id, which also brings the new revision', () => {
    const other = fold(asked, { ...result, actionId: 'question-2', accepted: true, refusal: null, revision: 13 });
    expect(other).toMatchObject({ revision: 13, asking: { status: 'sent' } });
    const refused = fold(other, { ...result, accepted: false, refusal: 'not-ready', revision: 14 });
    expect(refused).toMatchObject({ revision: 14, asking: { status: 'refused', words: 'Shut.' } });
    expect(fold(asked, { ...result, accepted: true, refusal: null, revision: 13 }).asking?.status).toBe('accepted');
  });

  it('stays open when the line is lost, until the missed events tell its outcome', () => {
    const lost = reduce(asked, LOST);
    expect(lost.asking?.status).toBe('unanswered');
    const told = fold(lost, HELLO, {
      type: 'event',
      utc: new Date(T0).toISOString(),
      outcome: {
        kind: 'action',
        ...{ event: 41, run: 5, seq: 1, tUs: 0, algorithm: 1 },
        ...{ actionId: 'question-1', actor: 'Ines', role: 'technician' as const },
        body: { type: 'take-reading' },
        accepted: false,
        refusal: 'not-ready',
        revision: 19,
      },
    });
    expect(told).toMatchObject({ revision: 19, asking: { status: 'refused', refusal: 'not-ready' } });
  });

  it('takes an error of the feed for its answer', () => {
    const failed = fold(asked, { type: 'error', code: 'busy', words: 'Too many are waiting.' });
    expect(failed.asking).toMatchObject({ status: 'refused', refusal: 'busy', words: 'Too many are waiting.' });
    expect(fold(CONNECTED, { type: 'error', code: 'busy', words: 'Odd.' }).notice).toEqual({
      kind: 'said',
      words: 'Odd.',
    });
  });
});

describe('What was missed', () => {
  const away = () => reduce(CONNECTED, { kind: 'lost', atMs: 4000 });

  it('is gathered while the connection is away, and told with how long that was', () => {
    const again = fold(
      away(),
      HELLO,
      readingEvent(41, T0),
      readyEvent(42, T0, false),
      snapshot(ready(T0), { event: 42 }),
    );
    expect(again.missed?.events.map(({ outcome }) => outcome.event)).toEqual([41, 42]);
    expect(again.missed?.toMs).not.toBeNull();
    const later = fold(again, readingEvent(43, T0));
    expect(later.missed?.events).toHaveLength(2);
    expect(reduce(later, { kind: 'seen' }).missed).toBeNull();
  });

  it('is kept over a second loss until somebody saw it', () => {
    const again = fold(away(), HELLO, readingEvent(41, T0), snapshot(ready(T0), { event: 41 }));
    const twice = reduce(again, { kind: 'lost', atMs: 9000 });
    expect(fold(twice, HELLO, readingEvent(42, T0), snapshot(ready(T0), { event: 42 })).missed?.events).toHaveLength(2);
  });

  it('is nothing before there was anything to miss', () => {
    expect(reduce(START, { kind: 'lost', atMs: 1 }).missed).toBeNull();
  });
});

describe('How the level behaves', () => {
  const numbers = {
    driftMmPerMin: 0.1,
    uDriftMmPerMin: 0.02,
    noiseMm: 0.3,
    used: 90,
    effective: 40,
    setAsideShare: 0,
    boundMm: 0.2,
  };
  const change = (event: number, noiseMm: number) => {
    const message = readyEvent(event, T0 + event * 1000, true);
    return { ...message, outcome: { ...message.outcome, numbers: { ...numbers, noiseMm } } } as typeof message;
  };

  it('is known from the last change of ready, also from before the page came', () => {
    const past = reduce(CONNECTED, {
      kind: 'past',
      events: [change(38, 0.5), change(39, 0.4), readyEvent(40, T0, false)],
    });
    expect(past.numbers?.numbers.noiseMm).toBe(0.4);
    expect(fold(past, change(41, 0.2)).numbers?.numbers.noiseMm).toBe(0.2);
    expect(fold(past, readyEvent(41, T0, false)).numbers?.numbers.noiseMm).toBe(0.4);
  });
});
