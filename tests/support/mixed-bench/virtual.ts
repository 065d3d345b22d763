/** The mixed bench in virtual time: real links, drivers and core; cables, radio and journal in memory. */
import pino from 'pino';
import { drivers } from '../../../drivers/index.ts';
import { CELLAR_ADDRESS } from '../../../simulators/cellar-probe.ts';
import { Random } from '../../../simulators/random.ts';
import { type RunningBench, startBench } from '../../../src/bench.ts';
import { virtualClock } from '../../../src/links/clock.ts';
import type { Door } from '../../../src/links/contract.ts';
import { doorFor } from '../../../src/links/make.ts';
import { supervise } from '../../../src/links/supervise.ts';
import { runFor } from '../../links/virtual-time.ts';
import { INSTRUMENTS, type InstrumentId, mixedBench } from './bench-file.ts';
import { type Cable, makeDevices, Talker } from './devices.ts';
import { type Held, held } from './flat.ts';
import { Judge } from './judge.ts';
import { memoryAir, memoryCable } from './memory-cables.ts';
import { type ForgetfulJournal, forgetfulJournal, Replayed } from './record.ts';
import { Storm } from './storm.ts';
import { Truth } from './truth.ts';

const S = 1_000_000;
/** Longer than any way of a value: an answer in time, a line in two pieces, a value held back while a link opens. */
const KEPT_US = 500_000;
/** How often the computer sleeps, and how often somebody sets its clock back. */
const SLEEPS_EVERY_US = 900 * S;
/** How often the disk is full for a while. */
const FULL_EVERY_US = 1200 * S;

const NOWHERE = '{ tcp: "127.0.0.1:1" }';
export const CELLAR_LINK = `{ ble: { address: "${CELLAR_ADDRESS}", notify: ["2a6e", "2a1c", "6f1c0001-3d52-4c1e-9a6e-0b7d5c2f8a11"] } }`;

export interface Seen {
  readonly judge: Judge;
  readonly faults: Readonly<Record<string, number>>;
  readonly entries: number;
  readonly events: number;
  /** After a first part, in which code is compiled and pools are filled, and at the end. */
  readonly early: Held;
  readonly late: Held;
}

export async function virtualRun(seed: number, hours: number): Promise<Seen> {
  const clock = virtualClock({ utcMs: Date.UTC(2031, 2, 4, 9, 0, 0) });
  const links = Object.fromEntries(INSTRUMENTS.map((id) => [id, id === 'cellar' ? CELLAR_LINK : NOWHERE]));
  const bench = mixedBench(links as Record<InstrumentId, string>);
  const truth = new Truth(KEPT_US);
  const judge = new Judge(bench, truth, 0);
  const replayed = new Replayed(judge);
  const air = memoryAir(CELLAR_ADDRESS);
  const cables = new Map<string, Cable>([['cellar', air.cable]]);
  const doors = new Map<string, Door>();
  for (const id of INSTRUMENTS) {
    if (id === 'cellar') continue;
    const { cable, door } = memoryCable(id);
    cables.set(id, cable);
    doors.set(id, door);
  }
  let journal: ForgetfulJournal | null = null;
  const running: RunningBench = await startBench({
    bench,
    drivers,
    driverDigests: {},
    software: 'mixed',
    clock,
    log: pino({ level: 'silent' }),
    openJournal: async (events) => {
      journal = forgetfulJournal(replayed, events);
      return journal;
    },
    openLink: ({ id, driver, options, intervalUs, link }, onEvent) =>
      supervise({
        door: doors.get(id) ?? doorFor(link, clock, {}, async () => [], air.stack),
        instrument: id,
        framing: (drivers[driver] as (typeof drivers)[string]).framing(options),
        clock,
        intervalUs,
        onEvent,
      }),
  });
  const devices = makeDevices((id) => ({
    ...{ clock, truth, random: Random.of(seed, id), cable: cables.get(id) as Cable },
  }));
  const storm = new Storm({
    clock,
    seed,
    devices,
    bench,
    running: () => running,
    judge,
    restUs: 45 * S,
    everyUs: 120 * S,
    longestUs: 100 * S,
    slackUs: 0,
  });
  const random = Random.of(seed, 'sleep');

  const sleepAndWake = (): void => {
    clock.at(clock.nowUs() + Math.round(random.uniform(0.5, 1.5) * SLEEPS_EVERY_US), () => {
      const before = { gaps: judge.tally.gaps, steps: judge.steps, recording: running.live().recording };
      const forward = random.chance(0.7);
      const ms = random.integer(2_000, 7_200_000);
      clock.jumpWall(forward ? ms : -ms);
      // what came while it slept waits in the ports
      if (forward) for (const device of devices) if (device instanceof Talker) device.printEarlier(5);
      clock.at(clock.nowUs() + 2 * S, () => {
        // within a gap of the record there is no other: the step of the clock stands there all the same
        const marked = judge.tally.gaps > before.gaps || !before.recording || !running.live().recording;
        if (!marked || judge.steps !== before.steps + 1)
          judge.complain(`${clock.nowUs()} µs: the clock jumped, and the record does not show it`);
      });
      sleepAndWake();
    });
  };

  const fillDisk = (): void => {
    clock.at(clock.nowUs() + Math.round(random.uniform(0.5, 1.5) * FULL_EVERY_US), () => {
      const before = judge.tally.gaps;
      journal?.refuse();
      clock.at(clock.nowUs() + random.integer(1, 60) * S, () => journal?.takeAgain());
      clock.at(clock.nowUs() + 70 * S, () => {
        if (judge.tally.gaps < before + 2) judge.complain(`${clock.nowUs()} µs: the disk was full, and no gap shows`);
        fillDisk();
      });
    });
  };

  for (const device of devices) device.start();
  storm.begin();
  sleepAndWake();
  fillDisk();
  const us = hours * 3600 * S;
  await runFor(clock, Math.round(us / 3));
  const early = await held();
  await runFor(clock, us - Math.round(us / 3));
  const late = await held();
  storm.calm(true);
  const stopping = running.stop();
  await runFor(clock, 5 * S);
  await stopping;
  return { judge, faults: storm.counts, entries: replayed.entries, events: replayed.event, early, late };
}
