import fs from 'node:fs';
import os from 'node:os';
import path from 'node:path';
import { SerialPort } from 'serialport';
import { afterEach, beforeEach, describe, expect, test } from 'vitest';
import { parse } from 'yaml';
import type { Printed } from '../../simulators/board.ts';
import { type Demo, type DemoOptions, startDemo } from '../../simulators/demo.ts';
import { demoBench, SLOPE_MM_PER_K } from '../../simulators/demo-bench.ts';
import { demoWorld } from '../../simulators/demo-world.ts';
import type { PortAddress } from '../../simulators/port.ts';
import { volumeM3 } from '../../simulators/pot.ts';
import { realTimers, type Timers } from '../../simulators/scheduler.ts';
import { platinumOhm } from '../../simulators/temperature-board.ts';
import { POT, REFERENCE_C, WINDOW_C, Workshop } from '../../simulators/workshop.ts';
import { describeWithPtys } from './needs-ptys.ts';
import { Reader } from './reader.ts';

const SEEDS = [1, 2, 3, 20_260];

type Said = Printed & { readonly board: string; readonly atS: number };

/** The demonstration at virtual time, keeping all that is printed and told. */
function run(seed: number, withCable = false) {
  const said: Said[] = [];
  const told: string[] = [];
  const demo = demoWorld(seed, {
    printed: (board, printed, atS) => said.push({ ...printed, board: board.name, atS }),
    tell: (nowS, what) => told.push(`${nowS}: ${what}`),
    ...(withCable && {
      cables: {
        unplug: (board, bytes) => said.push({ kind: 'half-line', bytes, value: null, board: board.name, atS: 20 }),
        replug: (board) => board.powerUp(23),
      },
    }),
  });
  demo.probe.powerUp(0);
  demo.sonar.powerUp(0);
  return { ...demo, tank: demo.workshop.tank, said, told };
}

/** m/s in the oil of the demonstration. */
function soundAt(celsius: number): number {
  return 1440 - 3.5 * (celsius - 20);
}

/** What the gauge would print without noise, µs. */
function ideal(workshop: Workshop, celsius: number): number {
  return (2000 * workshop.tank.levelAtMm(celsius)) / soundAt(celsius);
}

/** The temperature that a printed resistance stands for, by halving. */
function celsiusOf(ohm: number): number {
  let [low, high] = [0, 200];
  for (let i = 0; i < 40; i += 1) {
    const middle = (low + high) / 2;
    if (platinumOhm(middle) < ohm) low = middle;
    else high = middle;
  }
  return low;
}

describe.each(SEEDS)('the demonstration (seed %i)', (seed) => {
  test('comes into its window in about a minute and stays there for an hour', () => {
    const { simulation, tank } = run(seed);
    expect(tank.temperatureC).toBeLessThan(25);
    let reachedS = Number.NaN;
    for (let t = 1; t <= 3600; t += 1) {
      simulation.runUntil(t);
      if (Number.isNaN(reachedS) && tank.probeC >= WINDOW_C.low) reachedS = t;
      if (t > reachedS + 15) {
        expect(tank.probeC).toBeGreaterThan(WINDOW_C.low + 1);
        expect(tank.probeC).toBeLessThan(WINDOW_C.high - 1);
      }
    }
    expect(reachedS).toBeGreaterThan(50);
    expect(reachedS).toBeLessThan(70);
  });

  test('raises the level at the reference when fluid is added, and brings it back when it is drained', () => {
    const { simulation, tank, told } = run(seed);
    simulation.runUntil(100);
    const [before, massKg] = [tank.levelAtMm(REFERENCE_C), tank.massKg];
    simulation.runUntil(107.05);
    const fresh = tank.levelAtMm(REFERENCE_C);
    simulation.runUntil(190);
    const after = tank.levelAtMm(REFERENCE_C);
    expect(after - before).toBeGreaterThan(0.9);
    expect(after - fresh).toBeGreaterThan(0.1); // drained back from the walls
    simulation.runUntil(280);
    expect(tank.levelAtMm(REFERENCE_C)).toBeCloseTo(before, 6);
    expect(tank.massKg).toBeCloseTo(massKg, 12);
    expect(told.map((line) => line.replace(/\d+ g/, 'n g'))).toEqual([
      '105: adding n g of oil',
      '195: draining n g of oil',
    ]);
  });

  test('is calm enough for its own bench file before the adding, far too rough just after, and calm again', () => {
    const { simulation, said } = run(seed);
    simulation.runUntil(140);
    const toleranceMm = Number.parseFloat(parse(demoBench(...SERIAL)).measure.steady.tolerance);
    const overS = 8;
    const spreadAt = (endS: number) => calm(said, endS, overS).spreadMm;
    for (let t = 75; t < 105; t += 1) {
      const { spreadMm, driftMmPerMin } = calm(said, t, overS);
      expect(spreadMm).toBeLessThan(1.2 * toleranceMm);
      expect(spreadMm).toBeGreaterThan(0.3);
      expect(Math.abs(driftMmPerMin)).toBeLessThan(2.5 * toleranceMm);
    }
    for (let t = 107; t < 112; t += 1) expect(spreadAt(t)).toBeGreaterThan(2 * 1.2 * toleranceMm);
    expect(spreadAt(138)).toBeLessThan(1.2 * toleranceMm);
  });
});

const SERIAL: [PortAddress, PortAddress] = [
  { kind: 'serial', path: '/somewhere/probe.tty' },
  { kind: 'serial', path: '/somewhere/sonar.tty' },
];

/** Spread and least-squares drift of the compensated level over the last `overS` before `endS`, wild values aside. */
function calm(said: readonly Said[], endS: number, overS: number) {
  let celsius = Number.NaN;
  const points: { atS: number; mm: number }[] = [];
  for (const { board, kind, value, atS } of said) {
    if (kind !== 'measured' || value === null || atS > endS) continue;
    if (board === 'probe') celsius = celsiusOf(value);
    else if (atS > endS - overS)
      points.push({ atS, mm: (value * soundAt(celsius)) / 2000 - SLOPE_MM_PER_K * (celsius - REFERENCE_C) });
  }
  const levels = points.map((point) => point.mm);
  const meanS = points.reduce((sum, { atS }) => sum + atS, 0) / points.length;
  const meanMm = levels.reduce((sum, mm) => sum + mm, 0) / levels.length;
  const sxy = points.reduce((sum, { atS, mm }) => sum + (atS - meanS) * (mm - meanMm), 0);
  const sxx = points.reduce((sum, { atS }) => sum + (atS - meanS) ** 2, 0);
  return { spreadMm: Math.max(...levels) - Math.min(...levels), driftMmPerMin: (60 * sxy) / sxx };
}

test('while a job is open the hands do only what it says, and the mass of the pot follows', () => {
  const { workshop, hand, simulation } = demoWorld(5, { printed: () => {} });
  simulation.runUntil(60);
  hand.work(true, 60);
  const before = workshop.tank.massKg;
  simulation.runUntil(130);
  expect(workshop.tank.massKg, 'nothing of their own').toBeCloseTo(before, 9);
  hand.move(-0.2, 50, 130);
  hand.move(0.15, 20, 130);
  simulation.runUntil(140);
  expect(workshop.tank.massKg).toBeCloseTo(before - 0.05, 9);
  hand.work(false, 140);
  simulation.runUntil(225);
  expect(workshop.tank.massKg).toBeCloseTo(before - 0.05, 9);
  simulation.runUntil(240);
  expect(workshop.tank.massKg, 'their own again').not.toBeCloseTo(before - 0.05, 3);
});

test('the slope in the bench file is that of the physics: expansion alone', () => {
  const { tank } = new Workshop(1);
  const level = tank.levelAtMm(50);
  expect(level).toBeGreaterThan(56);
  expect(level).toBeLessThan(60);
  const slopeAt = (t: number) => tank.levelAtMm(t + 0.5) - tank.levelAtMm(t - 0.5);
  expect(slopeAt(50)).toBeCloseTo(SLOPE_MM_PER_K, 3);
  // by hand: V β / A with 0.00076 per kelvin, and a plan that grows with height
  expect(slopeAt(50)).toBeCloseTo((volumeM3(POT, level / 1000) * 1e9 * 0.00074) / (Math.PI * 116.4 * 116.4), 2);
  // over the whole window it stays within the stated uncertainty
  for (const t of [WINDOW_C.low, WINDOW_C.high]) expect(Math.abs(slopeAt(t) - SLOPE_MM_PER_K)).toBeLessThan(0.004);
});

test('the strapping table in the bench file is that of the pot, poured in thin slices', () => {
  const { points } = { points: parse(demoBench(...SERIAL)).vessel.shape['strapping-table'] as [string, string][] };
  expect(points).toHaveLength(13);
  for (const [mm, litres] of points) {
    const top = Number.parseFloat(mm);
    let poured = 0;
    for (let i = 0; i < 2000; i += 1) {
      const radius = 113.5 + 0.05 * (((i + 0.5) / 2000) * top);
      poured += (Math.PI * radius * radius * (top / 2000)) / 1e6;
    }
    expect(Number.parseFloat(litres)).toBeCloseTo(poured, 3);
  }
});

test('the gauge prints, on average, what the physics says (seed 1)', () => {
  const { simulation, said, workshop, tank } = run(1);
  simulation.runUntil(95);
  said.length = 0;
  simulation.runUntil(104.9);
  const levels = said.flatMap(({ board, kind, value }) =>
    board === 'sonar' && kind === 'measured' ? [value ?? 0] : [],
  );
  const mean = levels.reduce((sum, mm) => sum + mm, 0) / levels.length;
  expect(Math.abs(mean - ideal(workshop, tank.temperatureC))).toBeLessThan(0.15);
});

test('the same seed gives the same bytes, however real time is cut into pieces', () => {
  const whole = run(9, true);
  whole.simulation.runUntil(130);
  const pieces = run(9, true);
  for (let t = 0; t < 130; t += 0.037) pieces.simulation.runUntil(t);
  pieces.simulation.runUntil(130);
  expect(pieces.said).toEqual(whole.said);
});

test('one cable is pulled in the middle of a line; the board starts anew three seconds later (seed 9)', () => {
  const { simulation, said } = run(9, true);
  simulation.runUntil(30);
  const probe = said.filter(({ board }) => board === 'probe');
  const cut = probe.findIndex(({ atS, kind }) => atS === 20 && kind === 'half-line');
  expect(Buffer.from(probe[cut]?.bytes ?? []).toString()).toMatch(/^R=\d+\.?\d?$/);
  expect(probe[cut + 1]?.atS).toBe(23);
  expect(probe[cut + 1]?.kind).toBe('half-line');
  expect(probe[cut + 2]?.kind).toBe('boot');
  expect(said.some(({ board, atS }) => board === 'sonar' && atS > 20 && atS < 23)).toBe(true);
});

test('the bench file names both boards, their formats and the limits, for either kind of port', () => {
  const bench = parse(demoBench(...SERIAL));
  expect(Object.keys(bench)).toEqual([
    ...['bench', 'instruments', 'channels', 'measure', 'fluid', 'vessel', 'alarms', 'journal', 'procedures'],
  ]);
  expect(bench.instruments.probe.link).toEqual({ serial: './probe.tty', baud: 115200 });
  expect(bench.instruments.sonar.link).toEqual({ serial: './sonar.tty', baud: 115200 });
  expect(bench.instruments.probe.pattern).toBe('R={resistance} ohm{...}');
  expect(bench.instruments.sonar.columns).toEqual(['_', 'flight', '_', '_']);
  expect(bench.channels.temperature.from).toBe('probe.resistance');
  expect(bench.channels.level.from).toBe('sonar.flight');
  expect(bench.measure.window).toBe('46 °C to 54 °C');
  expect(bench.measure.reference).toBe('50 °C');
  // Neither calls while nothing is the matter: the heater stops well below, the pot is filled well above.
  expect(bench.alarms.overheated.above).toBe('65 °C');
  expect(bench.alarms['heater-bare'].below).toBe('25 mm');
  expect(bench.measure.compensation.slope).toBe(`${SLOPE_MM_PER_K} mm/K`);

  const tcp: PortAddress = { kind: 'tcp', host: '127.0.0.1', port: 4001 };
  expect(parse(demoBench(tcp, { ...tcp, port: 4002 })).instruments.probe.link).toEqual({ tcp: '127.0.0.1:4001' });
});

/** Real timers, but thirty seconds of the demonstration take one. */
const THIRTY_TIMES: Timers = {
  nowS: () => (performance.now() * 30) / 1000,
  after: (delayS, runIt) => {
    const timer = setTimeout(runIt, (delayS * 1000) / 30);
    return () => clearTimeout(timer);
  },
};

function realPorts(ports: 'pty' | 'tcp') {
  let dir: string;
  let demo: Demo;
  let told: string[];
  let replugged = () => {};
  const start = async (options: Partial<DemoOptions> = {}) => {
    const log = (line: string) => {
      told.push(line);
      if (line.includes('is back')) replugged();
    };
    demo = await startDemo({ dir: path.join(dir, 'bench'), seed: 4, ports, log, ...options });
  };
  /** As written in the bench file. */
  const address = (name: 'probe' | 'sonar'): PortAddress => {
    const link = parse(fs.readFileSync(demo.benchFile, 'utf8')).instruments[name].link;
    if (link.serial !== undefined)
      return { kind: 'serial', path: path.resolve(path.dirname(demo.benchFile), link.serial) };
    return { kind: 'tcp', host: link.tcp.split(':')[0], port: Number(link.tcp.split(':')[1]) };
  };

  beforeEach(() => {
    dir = fs.mkdtempSync(path.join(os.tmpdir(), 'demo-'));
    told = [];
  });
  afterEach(async () => {
    await demo.stop();
    fs.rmSync(dir, { recursive: true });
  });

  test('prints lines of both boards, in real time, where its bench file says', async () => {
    await start();
    expect(demo.ports).toBe(ports);
    expect(demo.describe()).toContain('seed');
    const [probe, sonar] = [await Reader.open(address('probe')), await Reader.open(address('sonar'))];
    await probe.until((text) => /\r\nR=1[01]\d\.\d\d ohm heater=on\r\n/.test(text));
    await sonar.until((text) => (text.match(/^sonar;7\d\.\d\d;us;q=\d\d$/gm) ?? []).length >= 3);
    expect(demo.world.tank.temperatureC).toBeGreaterThan(21);
    expect(demo.world.tank.temperatureC).toBeLessThan(30);
    await Promise.all([probe.close(), sonar.close()]);
  });

  test('loses and regains the probe at the same address', async () => {
    const back = new Promise<void>((resolve) => {
      replugged = resolve;
    });
    await start({ timers: THIRTY_TIMES });
    const before = await Reader.open(address('probe'));
    await before.until((text) => text.includes('\r\nR='));
    await before.end();
    await before.close();
    await back;
    const after = await Reader.open(address('probe'));
    const text = await after.until((got) => /\r\nR=\d{3}\.\d\d ohm/.test(got));
    expect(text).toContain('pot probe');
    await after.close();
    expect(told.join('\n')).toMatch(/20 s: the cable of the probe is pulled\n.*23 s: the cable of the probe is back/);
  });

  test('stopped, leaves no descriptor, no port and no timer behind, and may be stopped twice', async () => {
    const before = fs.readdirSync(dir);
    const waiting = new Set<() => void>();
    const timers: Timers = {
      nowS: () => realTimers.nowS(),
      after: (delayS, runIt) => {
        const cancel = realTimers.after(delayS, () => {
          waiting.delete(cancel);
          runIt();
        });
        waiting.add(cancel);
        return () => {
          waiting.delete(cancel);
          cancel();
        };
      },
    };
    await start({ timers });
    const reader = await Reader.open(address('sonar'));
    expect(waiting.size).toBeGreaterThan(0);
    await demo.stop();
    expect(waiting.size).toBe(0);
    await reader.end();
    await reader.close();
    await demo.stop();
    expect(before).toEqual([]);
    expect(fs.readdirSync(path.join(dir, 'bench'))).toEqual(['bench.yaml', 'sluice-gearbox.yaml']);
    if (process.platform !== 'linux') return;
    const fds = fs.readdirSync('/proc/self/fd').length;
    await start();
    await demo.stop();
    expect(fs.readdirSync('/proc/self/fd').length).toBe(fds);
  });
}

describeWithPtys('the demonstration on pseudo-terminals', () => {
  realPorts('pty');

  test('restarts a board when a serial port library opens its port: half a line, noise, chatter', async () => {
    const dir = fs.mkdtempSync(path.join(os.tmpdir(), 'demo-'));
    const demo = await startDemo({ dir, seed: 5, timers: THIRTY_TIMES });
    const address = path.join(dir, 'sonar.tty');
    const plain = await Reader.open({ kind: 'serial', path: address });
    await plain.until((text) => /\nsonar;\d/.test(text)); // its start at power-up is over
    await plain.close();
    const serial = new SerialPort({ path: address, baudRate: 115200 });
    const text = await new Promise<string>((resolve) => {
      let heard = '';
      serial.on('data', (chunk: Buffer) => {
        heard += chunk.toString('latin1');
        if (/go\nsonar;\d/.test(heard)) resolve(heard);
      });
    });
    // a line or two may slip out before the board notices
    expect(text).toMatch(/(^|\n)[\d.-]*;?u?s?;?q?=?\d*\n[\0\x80-\xff]+\nsonar under the pot/);
    await new Promise<void>((resolve) => serial.close(() => resolve()));
    await demo.stop();
    fs.rmSync(dir, { recursive: true });
  });
});
describe('the demonstration on loopback TCP', () => realPorts('tcp'));
