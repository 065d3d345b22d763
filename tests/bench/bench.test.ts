import pino from 'pino';
import { beforeEach, describe, expect, test } from 'vitest';
import { drivers } from '../../drivers/index.ts';
import { type RunningBench, startBench } from '../../src/bench.ts';
import type { BenchDescription } from '../../src/core/description.ts';
import { eventMessage } from '../../src/feed/messages.ts';
import { type VirtualClock, virtualClock } from '../../src/links/clock.ts';
import type { LinkEvent } from '../../src/links/supervise.ts';
import { compareEntries } from '../../src/replay/compare.ts';
import { testBench } from '../support/bench.ts';
import { MemoryJournal } from './memory-journal.ts';

let clock: VirtualClock;
let journal: MemoryJournal;
let bench: RunningBench;
let hear: Record<string, (event: LinkEvent) => void>;
let reopened: string[];
let logged: { readonly msg: string }[];
let closedJobs = 0;

const matching: BenchDescription = {
  ...testBench,
  measure: {
    ...testBench.measure,
    match: {
      toleranceMm: 1,
      rule: { by: 'probability', probability: 0.95 },
      ...{ refitMm: 0.1, refits: null, newFluidMm: 0, target: null },
    },
  },
};

beforeEach(async () => {
  clock = virtualClock({ utcMs: Date.UTC(2031, 2, 4, 9, 0, 0) });
  journal = new MemoryJournal();
  hear = {};
  reopened = [];
  logged = [];
  closedJobs = 0;
  bench = await startBench({
    bench: matching,
    drivers,
    driverDigests: {},
    software: 'test',
    clock,
    log: pino({}, { write: (line) => void logged.push(JSON.parse(line)) }),
    openJournal: async (events) => journal.open(events),
    onJobClosed: () => {
      closedJobs++;
    },
    openLink: ({ id }, onEvent) => {
      hear[id] = onEvent;
      onEvent({ kind: 'link', instrument: id, state: 'open', reason: 'connected', connection: 1, detail: '' });
      return { write: () => {}, reopen: (reason) => void reopened.push(`${id} ${reason}`), stop: async () => {} };
    },
  });
});

function line(instrument: string, text: string): void {
  hear[instrument]?.({ kind: 'frame', instrument, connection: 1, bytes: Buffer.from(text), request: 0 });
}

function talk(seconds: number, levelMm = 62): void {
  const startUs = clock.nowUs();
  for (let ms = 100; ms <= seconds * 1000; ms += 100) {
    clock.advanceTo(startUs + ms * 1000);
    if (ms % 500 === 0) line('probe', 'T=50.00 C ok');
    if (ms % 200 === 0) line('sonar', `sonar;${(levelMm + ((ms / 200) % 3) / 10).toFixed(2)};mm;q=80`);
  }
  clock.advanceTo(clock.nowUs());
}

const request = (actionId: string, body: object, expectedRevision = 0) =>
  ({ actionId, actor: 'Ines', role: 'technician', expectedRevision, body }) as never;

test('a reading is told only once it is on disk', () => {
  journal.diskFollows = false;
  talk(20);
  expect(bench.live().ready).toBe(true);
  expect(bench.lastEvent()).toBe(0);
  expect(bench.snapshot().lastReading).toBeNull();
  journal.catchUp();
  expect(bench.lastEvent()).toBeGreaterThan(0);
  expect(bench.snapshot().lastReading?.reading.levelMm).toBeCloseTo(62.1, 1);
});

test('frames without an outcome reach the disk within a quarter of a second', () => {
  line('probe', 'T=20.00 C ok');
  clock.advanceTo(clock.nowUs());
  const before = journal.flushes;
  clock.advanceTo(clock.nowUs() + 250_000);
  expect(journal.flushes).toBe(before + 1);
});

test('what stands in the journal replays to the same outcomes', () => {
  talk(20);
  const comparison = compareEntries(journal.entries, drivers);
  expect(comparison).toMatchObject({ difference: null });
  expect(comparison.compared).toBeGreaterThan(1);
});

test('a checkpoint stands at run start and at job start', async () => {
  expect(journal.checkpoints.map(({ why }) => why)).toEqual(['run-start']);
  const result = bench.act(request('start-0001', { type: 'start-job', label: 'lift 4' }));
  await Promise.resolve();
  clock.advanceTo(clock.nowUs());
  await expect(result).resolves.toMatchObject({ accepted: true, revision: 1 });
  expect(journal.checkpoints.map(({ why }) => why)).toEqual(['run-start', 'job-start']);
  expect(bench.snapshot().job).toMatchObject({ label: 'lift 4' });
});

test('a state that cannot be saved fails no action: the job starts, and the log says so', async () => {
  journal.refusesStates = true;
  const result = bench.act(request('start-0001', { type: 'start-job', label: 'lift 4' }));
  await Promise.resolve();
  clock.advanceTo(clock.nowUs());
  await expect(result).resolves.toMatchObject({ accepted: true });
  expect(logged.map(({ msg }) => msg)).toContain('the state at the start of the job is not saved');
});

test('that a job is closed is passed on once that is on disk, not before', async () => {
  const ask = async (id: string, body: object, revision: number) => {
    const result = bench.act(request(id, body, revision));
    await Promise.resolve();
    clock.advanceTo(clock.nowUs());
    return result;
  };
  await ask('start-0001', { type: 'start-job', label: 'lift 4' }, 0);
  expect(closedJobs).toBe(0);
  journal.diskFollows = false;
  const closing = ask('close-0001', { type: 'close-job' }, 1);
  await Promise.resolve();
  clock.advanceTo(clock.nowUs());
  expect(closedJobs).toBe(0);
  journal.catchUp();
  expect(await closing).toMatchObject({ accepted: true });
  expect(closedJobs).toBe(1);
});

test('a target and its verdict are told once they are on disk, and replay', async () => {
  const ask = async (id: string, body: object, revision: number) => {
    const result = bench.act(request(id, body, revision));
    await Promise.resolve();
    clock.advanceTo(clock.nowUs());
    return result;
  };
  await ask('start-0001', { type: 'start-job', label: 'lift 4' }, 0);
  const target = { from: 'level', levelMm: 62.1, uMm: 0.1 };
  expect(await ask('target-0001', { type: 'set-target', target }, 1)).toMatchObject({ accepted: true });
  expect(bench.snapshot()).toMatchObject({ target, verdict: null, bench: { matchToleranceMm: 1 } });
  expect(await ask('accept-0001', { type: 'accept', reason: 'early' }, 2)).toMatchObject({
    accepted: false,
    refusal: 'nothing-to-accept',
    words: expect.stringContaining('no verdict'),
  });
  journal.diskFollows = false;
  talk(20);
  expect(bench.snapshot().verdict).toBeNull();
  journal.catchUp();
  expect(bench.snapshot().verdict).toMatchObject({ reading: 1, result: 'within', target });
  const events = await bench.events(0, 100);
  expect(events.map(({ outcome }) => outcome.kind)).toContain('verdict');
  for (const event of events) expect(eventMessage.safeParse(event).error).toBeUndefined();
  expect(compareEntries(journal.entries, drivers)).toMatchObject({ difference: null });
});

describe('the same action id', () => {
  test('asked twice at once acts once', async () => {
    const first = bench.act(request('note-0001', { type: 'note', text: 'a' }));
    const second = bench.act(request('note-0001', { type: 'note', text: 'a' }));
    await Promise.resolve();
    clock.advanceTo(clock.nowUs());
    expect(await second).toEqual(await first);
    expect(journal.inputs('action')).toHaveLength(1);
  });

  test('asked again later gets the stored outcome', async () => {
    const first = bench.act(request('note-0001', { type: 'note', text: 'a' }));
    await Promise.resolve();
    clock.advanceTo(clock.nowUs());
    const stored = await first;
    expect(await bench.act(request('note-0001', { type: 'note', text: 'b' }, 1))).toEqual(stored);
    expect(journal.inputs('action')).toHaveLength(1);
  });
});

describe('when the disk cannot follow', () => {
  /** The backlog limit is 20,000 entries; at 15 frames a step of 10 ms it is passed quickly. */
  function flood(): void {
    journal.diskFollows = false;
    for (let i = 0; i < 21_000; i++) line('sonar', 'sonar;62.00;mm;q=80');
    clock.advanceTo(clock.nowUs());
  }

  test('a gap is recorded, the live values go on, nothing is read, and it recovers', async () => {
    talk(10);
    flood();
    expect(bench.live().recording).toBe(false);
    expect(bench.live().gates.find(({ id }) => id === 'record')).toMatchObject({ open: false });
    expect(bench.live().instruments.probe?.floods).toBe(false);
    expect(bench.live().instruments.sonar).toMatchObject({
      floods: true,
      words: expect.stringMatching(/^Sends 2100\d messages a second where 5 are expected: more than can be kept\. Set/),
    });
    expect(logged).toContainEqual(
      expect.objectContaining({
        instrument: 'sonar',
        recording: false,
        msg: expect.stringContaining('where 5 are expected'),
      }),
    );
    expect(logged.map(({ msg }) => msg)).not.toContain('The disk does not take the record.');
    const kept = journal.entries.length;
    talk(3, 63);
    expect(bench.live().channels.level?.value).toBeGreaterThan(62.9);
    expect(journal.entries.length).toBe(kept);
    await expect(bench.act(request('note-0002', { type: 'note', text: 'x' }))).resolves.toMatchObject({
      accepted: false,
      refusal: 'not-recording',
      event: null,
    });

    journal.diskFollows = true;
    journal.catchUp();
    talk(20, 63);
    expect(bench.live().recording).toBe(true);
    const gaps = journal.inputs('gap');
    expect(gaps.map((gap) => gap.kind === 'gap' && gap.ongoing)).toEqual([true, false]);
    expect(gaps[1]).toMatchObject({ cause: 'journal-behind' });
    expect(gaps[1]?.kind === 'gap' && gaps[1].lostFrames).toBeGreaterThan(10);
    expect(bench.snapshot().lastReading?.reading.levelMm).toBeCloseTo(63.1, 1);
    expect(compareEntries(journal.entries, drivers)).toMatchObject({ difference: null });
  });
});

describe('a disk that refuses', () => {
  test('shuts the record gate at once, refuses actions, is asked again, and recovers', async () => {
    talk(10);
    journal.refuse();
    expect(bench.live().recording).toBe(false);
    // a board that talks as it should is not blamed for the disk
    expect(bench.live().instruments.sonar?.floods).toBe(false);
    expect(logged.map(({ msg }) => msg)).toContain('The disk does not take the record.');
    expect(bench.live().gates.find(({ id }) => id === 'record')).toMatchObject({ open: false });
    expect(bench.live().ready).toBe(false);
    await expect(bench.act(request('note-0003', { type: 'note', text: 'x' }))).resolves.toMatchObject({
      refusal: 'not-recording',
    });
    const before = journal.flushes;
    talk(5);
    expect(journal.flushes).toBeGreaterThanOrEqual(before + 4);
    journal.diskFollows = true;
    talk(12);
    expect(bench.live().recording).toBe(true);
    expect(bench.live().ready).toBe(true);
    expect(compareEntries(journal.entries, drivers)).toMatchObject({ difference: null });
  });
});

describe('instruments while a disk refuses', () => {
  const alarms = () =>
    journal.entries.flatMap((entry) =>
      entry.kind === 'outcome' && entry.outcome.kind === 'alarm'
        ? [`${entry.outcome.source} ${entry.outcome.state} ${entry.outcome.tUs - startUs}`]
        : [],
    );
  let startUs = 0;

  test('are not called lost because nothing of theirs was recorded, whatever else is', () => {
    talk(10);
    journal.refuse();
    talk(30);
    const lost = { kind: 'link', instrument: 'sonar', connection: 1, detail: '' } as const;
    hear.sonar?.({ ...lost, state: 'closed', reason: 'remote-closed' });
    hear.sonar?.({ ...lost, state: 'open', reason: 'connected', connection: 2 });
    talk(5);
    journal.diskFollows = true;
    journal.catchUp();
    talk(5);
    expect(bench.live().recording).toBe(true);
    expect(journal.inputs('gap')).toHaveLength(2);
    expect(alarms()).toEqual([]);
    expect(compareEntries(journal.entries, drivers)).toMatchObject({ difference: null });
  });

  test('one that falls silent meanwhile is called lost as long after the disk takes the record again', () => {
    talk(10);
    startUs = clock.nowUs();
    journal.refuse();
    clock.advanceTo(startUs + 30e6);
    expect(alarms()).toEqual([]);
    journal.diskFollows = true;
    journal.catchUp();
    clock.advanceTo(startUs + 60e6);
    expect(journal.inputs('gap')).toHaveLength(2);
    expect(alarms()).toEqual(['probe active 32000000', 'sonar active 32000000']);
    expect(compareEntries(journal.entries, drivers)).toMatchObject({ difference: null });
  });
});

describe('a cable pulled while the disk cannot follow', () => {
  test('stays in the record, and shows', () => {
    talk(10);
    journal.diskFollows = false;
    for (let i = 0; i < 21_000; i++) line('sonar', 'sonar;62.00;mm;q=80');
    clock.advanceTo(clock.nowUs());
    hear.sonar?.({
      kind: 'link',
      instrument: 'sonar',
      state: 'closed',
      reason: 'unplugged',
      connection: 1,
      detail: '',
    });
    clock.advanceTo(clock.nowUs());
    expect(journal.inputs('link').at(-1)).toMatchObject({ instrument: 'sonar', reason: 'unplugged' });
    const before = bench.live().channels.level?.value;
    line('sonar', 'sonar;70.00;mm;q=80');
    expect(bench.live().channels.level?.value).toBe(before);
    expect(bench.live().instruments.sonar).toMatchObject({ state: 'closed', reason: 'unplugged' });
  });
});

describe('clocks', () => {
  test('a run begins with an anchor of the wall clock, and gets one every hour', () => {
    expect(journal.inputs('wall')).toMatchObject([{ cause: 'start', utcMs: Date.UTC(2031, 2, 4, 9, 0, 0) }]);
    clock.advanceTo(3601e6);
    clock.advanceTo(3603e6);
    expect(journal.inputs('wall').map((wall) => wall.kind === 'wall' && wall.cause)).toEqual(['start', 'hourly']);
  });

  test('a suspend shows as a gap, and the level must be watched anew', () => {
    talk(10);
    expect(bench.live().ready).toBe(true);
    clock.jumpWall(600_000);
    clock.advanceTo(clock.nowUs() + 2_100_000);
    expect(journal.inputs('gap')).toMatchObject([{ cause: 'clock-jump', lostUs: expect.closeTo(600e6, -5) }]);
    expect(bench.live().ready).toBe(false);
    expect(reopened).toEqual(['probe resumed', 'sonar resumed']);
  });

  test('a clock set back is a gap too, and nothing is dated by it but the calendar', () => {
    talk(10);
    clock.jumpWall(-7200_000);
    clock.advanceTo(clock.nowUs() + 2_100_000);
    expect(journal.inputs('gap')).toMatchObject([{ cause: 'clock-jump', lostUs: 0 }]);
    expect(journal.inputs('wall').at(-1)).toMatchObject({ cause: 'step' });
    expect(reopened).toEqual([]);
  });
});

test('events are given from any number on, only what is announced', async () => {
  talk(10);
  const all = await bench.events(0, 100);
  expect(all.map(({ outcome }) => outcome.event)).toEqual(all.map((_, index) => index + 1));
  expect(await bench.events(1, 100)).toEqual(all.slice(1));
  expect(await bench.events(0, 1)).toEqual(all.slice(0, 1));
});

test('stopping closes the journal', async () => {
  await bench.stop();
  expect(journal.closed).toBe(true);
});
