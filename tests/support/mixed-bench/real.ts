/** The mixed bench in real time: pseudo-terminals, sockets, a message bus with a Bluetooth service, a journal on disk. */
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import pino from 'pino';
import { drivers } from '../../../drivers/index.ts';
import { cellarDevice } from '../../../simulators/cellar-probe.ts';
import { FakeBluez } from '../../../simulators/fake-bluez.ts';
import type { Port } from '../../../simulators/port.ts';
import { startPrivateBus } from '../../../simulators/private-bus.ts';
import { PtyPort } from '../../../simulators/pty.ts';
import { Random } from '../../../simulators/random.ts';
import { TcpPort } from '../../../simulators/tcp-port.ts';
import { startBench } from '../../../src/bench.ts';
import { openJournal } from '../../../src/journal/journal.ts';
import { readJournal } from '../../../src/journal/read-file.ts';
import { bluez } from '../../../src/links/bluez.ts';
import { realClock } from '../../../src/links/clock.ts';
import type { Clock } from '../../../src/links/contract.ts';
import { doorFor } from '../../../src/links/make.ts';
import { listPorts } from '../../../src/links/ports.ts';
import { supervise } from '../../../src/links/supervise.ts';
import { INSTRUMENTS, type InstrumentId, mixedBench } from './bench-file.ts';
import { type Cable, makeDevices } from './devices.ts';
import { type Held, held } from './flat.ts';
import { Judge } from './judge.ts';
import { airCable, portCable } from './real-cables.ts';
import { Replayed } from './record.ts';
import { Storm } from './storm.ts';
import { Truth } from './truth.ts';
import { CELLAR_LINK, type Seen } from './virtual.ts';

const S = 1_000_000;
/** A busy machine may tell an alarm late by this much. */
const SLACK_US = 5 * S;
/** How old a value may be when it counts, where the same way takes up to 0.5 s without a busy machine. */
const KEPT_US = 1_500_000;
/** After the last fault, until all speak again. */
const RECOVERY_US = 30 * S;
/** How often the computer seems to sleep. */
const SLEEPS_EVERY_US = 120 * S;
const OVER_TCP: ReadonlySet<InstrumentId> = new Set(['vat', 'panel']);

export interface SeenInReal extends Seen {
  readonly sealed: boolean;
  /** Of the whole process, its threads included. */
  readonly residentMB: readonly [early: number, late: number];
}

export async function realRun(seed: number, minutes: number): Promise<SeenInReal> {
  const dir = mkdtempSync(join(tmpdir(), 'stillwell-mixed-'));
  const bus = await startPrivateBus();
  const service = new FakeBluez(bus.address);
  await service.start();
  const cellar = cellarDevice();
  service.place(cellar);
  const cables = new Map<InstrumentId, Cable>([['cellar', airCable(service, cellar)]]);
  const ports: { readonly port: Port; settled(): Promise<void> }[] = [];
  const links: Partial<Record<InstrumentId, string>> = { cellar: CELLAR_LINK };
  for (const id of INSTRUMENTS) {
    if (id === 'cellar') continue;
    const port: Port = OVER_TCP.has(id) ? new TcpPort() : new PtyPort(join(dir, `${id}.tty`));
    await port.plug();
    const { address } = port;
    const cable = portCable(port);
    cables.set(id, cable);
    ports.push({ port, settled: () => cable.settled() });
    links[id] =
      address.kind === 'tcp'
        ? `{ tcp: "${address.host}:${address.port}" }`
        : `{ serial: ${address.path}, baud: 115200 }`;
  }

  const real = realClock();
  let jumpedMs = 0;
  const clock: Clock = { ...real, utcMs: () => real.utcMs() + jumpedMs };
  const wait = (us: number): Promise<void> => new Promise((resolve) => clock.at(clock.nowUs() + us, resolve));
  const bench = mixedBench(links as Record<InstrumentId, string>);
  const truth = new Truth(KEPT_US);
  const judge = new Judge(bench, truth, SLACK_US);
  const replayed = new Replayed(judge);
  const path = join(dir, 'mixed.journal');
  const running = await startBench({
    bench,
    drivers,
    driverDigests: {},
    software: 'mixed',
    clock,
    log: pino({ level: 'silent' }),
    async openJournal(events) {
      const journal = await openJournal(path, events);
      return {
        ...journal,
        append(run, entries, points, flush) {
          replayed.take(entries, points);
          journal.append(run, entries, points, flush);
        },
      };
    },
    openLink: ({ id, driver, options, intervalUs, link }, onEvent) =>
      supervise({
        door: doorFor(link, clock, {}, listPorts, bluez(bus.address)),
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
  const rates = { restUs: 25 * S, everyUs: 10 * S, longestUs: 40 * S, slackUs: SLACK_US };
  const storm = new Storm({ clock, seed, devices, bench, running: () => running, judge, ...rates });
  const random = Random.of(seed, 'sleep');
  let over = false;
  const sleepAndWake = (): void => {
    clock.at(clock.nowUs() + Math.round(random.uniform(0.5, 1.5) * SLEEPS_EVERY_US), () => {
      if (over) return;
      jumpedMs += random.integer(2_000, 600_000);
      sleepAndWake();
    });
  };

  /** All faults over, all instruments well: what is held then can be compared. */
  const look = async (): Promise<readonly [Held, number]> => {
    storm.calm(true);
    while (storm.standing > 0) await wait(S);
    await wait(RECOVERY_US);
    for (const { id } of devices) if (judge.alarmed(id)) judge.complain(`${id} does not come back`);
    const found = [await held(), process.memoryUsage().rss / 1e6] as const;
    storm.calm(false);
    return found;
  };

  for (const device of devices) device.start();
  storm.begin();
  sleepAndWake();
  await wait((minutes * 60 * S) / 3);
  const [early, earlyMB] = await look();
  await wait((minutes * 60 * S * 2) / 3);
  const [late, lateMB] = await look();
  over = true;
  storm.calm(true);
  await running.stop();
  for (const device of devices) device.stop();
  for (const { port, settled } of ports) {
    await settled();
    await port.unplug();
  }
  service.stop();
  await bus.stop();
  const opened = readJournal(path);
  const sealed = opened.verifySeal().ok;
  opened.close();
  rmSync(dir, { recursive: true, force: true });
  return {
    ...{ judge, faults: storm.counts, entries: replayed.entries, events: replayed.event, early, late, sealed },
    residentMB: [earlyMB, lateMB],
  };
}
