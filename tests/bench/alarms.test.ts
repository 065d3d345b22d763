/** Alarms of a running bench: on disk before they are told, in the snapshot with who and since when, over a restart. */
import pino from 'pino';
import { beforeEach, expect, test } from 'vitest';
import { drivers } from '../../drivers/index.ts';
import { type RunningBench, startBench } from '../../src/bench.ts';
import { type Carried, carry, NOTHING_CARRIED } from '../../src/core/carried.ts';
import { eventMessage, snapshot } from '../../src/feed/messages.ts';
import { REFUSAL_WORDS } from '../../src/feed/words.ts';
import { type VirtualClock, virtualClock } from '../../src/links/clock.ts';
import type { LinkEvent } from '../../src/links/supervise.ts';
import { compareEntries } from '../../src/replay/compare.ts';
import { alarmBench, OVERHEATED } from '../support/alarm-rig.ts';
import { MemoryJournal } from './memory-journal.ts';

const BEGAN_MS = Date.UTC(2031, 2, 4, 9, 0, 0);

let clock: VirtualClock;
let journal: MemoryJournal;
let bench: RunningBench;
let hear: (event: LinkEvent) => void;
let logged: { readonly level: number; readonly msg: string; readonly by?: string }[];
let actions = 0;

/** A run after what the journal holds; the journal in memory dates its outcomes by the run's own clock. */
async function run(): Promise<void> {
  let carried: Carried = NOTHING_CARRIED;
  for (const entry of journal.entries) if (entry.kind === 'outcome') carried = carry(carried, entry.outcome);
  const lastSeq = journal.entries.reduce((last, one) => (one.kind === 'input' ? one.input.seq : last), 0);
  bench = await startBench({
    bench: alarmBench,
    drivers,
    driverDigests: {},
    software: 'test',
    clock,
    log: pino({}, { write: (line) => void logged.push(JSON.parse(line)) }),
    openJournal: async (events) => {
      const opened = journal.open(events);
      return { ...opened, opened: { ...opened.opened, carried, lastSeq, lastRun: lastSeq === 0 ? 0 : 1 } };
    },
    openLink: ({ id }, onEvent) => {
      if (id === 'probe') hear = onEvent;
      onEvent({ kind: 'link', instrument: id, state: 'open', reason: 'connected', connection: 1, detail: '' });
      return { write: () => {}, reopen: () => {}, stop: async () => {} };
    },
  });
}

beforeEach(async () => {
  clock = virtualClock({ utcMs: BEGAN_MS });
  journal = new MemoryJournal();
  logged = [];
  await run();
});

function hold(seconds: number, temperatureC: number): void {
  const startUs = clock.nowUs();
  for (let ms = 0; ms < seconds * 1000; ms += 500) {
    clock.advanceTo(startUs + ms * 1000);
    hear({
      kind: 'frame',
      instrument: 'probe',
      connection: 1,
      bytes: Buffer.from(`T=${temperatureC.toFixed(2)} C ok`),
      request: 0,
    });
  }
  clock.advanceTo(startUs + seconds * 1e6);
}

async function act(body: object) {
  const result = bench.act({
    ...{ actionId: `action-${++actions}`, actor: 'Mira', role: 'technician' },
    ...{ expectedRevision: bench.snapshot().revision, body },
  } as never);
  await Promise.resolve();
  clock.advanceTo(clock.nowUs());
  return result;
}

/** The alarm that stands, of a snapshot that is as the schema says. */
const standing = () => snapshot.parse(bench.snapshot()).alarms.find(({ alarm }) => alarm === 'overheated');
const at = (ms: number) => new Date(BEGAN_MS + ms).toISOString();

test('an alarm is told once it is on disk, with since when, how much and what to do', () => {
  hold(10, 80);
  journal.diskFollows = false;
  hold(10, 95);
  expect(standing()).toBeUndefined();
  journal.catchUp();
  expect(standing()).toEqual({
    ...OVERHEATED,
    state: 'unacknowledged',
    active: true,
    priority: 'high',
    why: 'temperature 95.0 °C is above 90.0 °C',
    message: 'Stop heating.',
    value: 95,
    limit: 90,
    unit: 'Cel',
    utc: at(15_500),
    acknowledgedBy: null,
    shelved: null,
  });
});

test('acknowledged, shelved until a time of day, unshelved by itself: each an event of the feed, and it replays', async () => {
  hold(10, 80);
  hold(10, 95);
  expect(await act({ type: 'acknowledge-alarm', ...OVERHEATED })).toMatchObject({ accepted: true });
  expect(standing()).toMatchObject({ state: 'acknowledged', acknowledgedBy: 'Mira', utc: at(15_500) });
  expect(await act({ type: 'shelve-alarm', ...OVERHEATED, forS: 60, reason: 'Heater is off' })).toMatchObject({
    accepted: true,
  });
  expect(standing()).toMatchObject({
    state: 'shelved',
    active: true,
    shelved: { by: 'Mira', reason: 'Heater is off', until: at(80_000) },
  });
  expect(await act({ type: 'acknowledge-alarm', ...OVERHEATED })).toMatchObject({
    accepted: false,
    refusal: 'nothing-to-acknowledge',
    words: REFUSAL_WORDS['nothing-to-acknowledge'],
  });
  hold(61, 95);
  expect(standing()).toMatchObject({ state: 'unacknowledged', shelved: null, acknowledgedBy: null });
  const events = (await bench.events(0, 100)).map((event) => eventMessage.parse(event));
  expect(
    events.flatMap(({ outcome }) => (outcome.kind === 'alarm' && outcome.alarm === 'overheated' ? [outcome] : [])),
  ).toMatchObject([
    { state: 'active', stands: 'unacknowledged', by: null },
    { state: 'acknowledged', stands: 'acknowledged', by: 'Mira' },
    { state: 'shelved', stands: 'shelved', by: 'Mira', why: 'Heater is off', untilUs: 80_000_000 },
    { state: 'unshelved', stands: 'unacknowledged', by: null, why: 'its time is over' },
  ]);
  expect(compareEntries(journal.entries, drivers)).toMatchObject({ difference: null });
});

test('the log warns of what calls, and notes what people do', async () => {
  hold(10, 80);
  hold(10, 95);
  await act({ type: 'acknowledge-alarm', ...OVERHEATED });
  const lines = logged.filter(({ msg }) => msg.startsWith('overheated'));
  expect(lines).toMatchObject([
    { level: 40, msg: 'overheated active', priority: 'high', why: 'temperature 95.0 °C is above 90.0 °C' },
    { level: 30, msg: 'overheated acknowledged', by: 'Mira' },
  ]);
  expect(lines[0]).not.toHaveProperty('by');
});

test('after a restart the snapshot still says who acknowledged it and since when, before any value comes', async () => {
  hold(10, 80);
  hold(10, 95);
  await act({ type: 'acknowledge-alarm', ...OVERHEATED });
  const before = standing();
  await bench.stop();
  await run();
  // the journal in memory dates by the run's clock alone
  expect(standing()).toEqual({ ...before, utc: new Date(15_500).toISOString() });
  hold(20, 88);
  expect(standing()).toMatchObject({ state: 'acknowledged' });
  hold(11, 80);
  expect(standing()).toBeUndefined();
});
