import fs from 'node:fs';
import path from 'node:path';
import { type BleAir, startBleAir } from './ble-port.ts';
import type { Board } from './board.ts';
import { DEMO_PROCEDURE_FILE, demoBench, modbusDemoBench } from './demo-bench.ts';
import { DemoLine } from './demo-modbus.ts';
import { DEMO_PROCEDURE } from './demo-procedure.ts';
import { type DemoWorld, demoWorld, REPLUG_AFTER_S, UNPLUG_AT_S } from './demo-world.ts';
import { densityKgPerM3, GEAR_OIL } from './fluid.ts';
import { ptysAvailable } from './libc.ts';
import type { BleAddress, Port, PortAddress } from './port.ts';
import { PtyPort } from './pty.ts';
import { pace, realTimers, type Timers } from './scheduler.ts';
import { TcpPort } from './tcp-port.ts';
import { FIRST_ADDING_AT_S, REFERENCE_C, WINDOW_C, type Workshop } from './workshop.ts';

export type PortKind = 'pty' | 'tcp';

/**
 * What the boards speak: lines of text, Modbus on one line that they share, or the probe's lines over Bluetooth LE, which
 * needs dbus-daemon.
 */
export type DemoInstruments = 'text' | 'modbus' | 'ble';

export interface DemoOptions {
  /** For the bench file, the links to the ports, and the journal; made if missing. */
  readonly dir: string;
  readonly seed?: number;
  readonly timers?: Timers;
  /** Gets a line for people whenever something is done to the bench. */
  readonly log?: (line: string) => void;
  /** Pseudo-terminals where there are any, else loopback TCP. */
  readonly ports?: PortKind;
  /** Text without it. */
  readonly instruments?: DemoInstruments;
}

export interface Demo {
  readonly benchFile: string;
  readonly ports: PortKind;
  /** The bus with the simulated Bluetooth service; null without Bluetooth. */
  readonly bluetoothBus: string | null;
  /** The truth, for comparison. */
  readonly world: Workshop;
  /** The technician's hands at the pot: while a job is open, only what it says is poured in and drawn off. */
  readonly hands: {
    work(open: boolean): void;
    /** Litres or kilograms, as warm as they were measured. */
    move(way: 'in' | 'out', amount: number, unit: 'L' | 'kg', tC: number): void;
  };
  /** A few lines for people: what is simulated and what will happen. */
  describe(): string;
  stop(): Promise<void>;
}

type DemoPort = Port<PortAddress | BleAddress>;

export const DEMO_SEED = 20_260;

/** A board whose output nobody takes loses it: more than this is never kept waiting. */
const MOST_UNREAD_BYTES = 2048;

/** Plugs two simulated boards in, writes their bench file and lets the workshop run in real time. */
export async function startDemo(options: DemoOptions): Promise<Demo> {
  const { dir, seed = DEMO_SEED, timers = realTimers, log = () => {}, instruments = 'text' } = options;
  const kind = options.ports ?? (ptysAvailable() ? 'pty' : 'tcp');
  fs.mkdirSync(dir, { recursive: true });
  const portFor = (name: string): Port => (kind === 'pty' ? new PtyPort(path.join(dir, `${name}.tty`)) : new TcpPort());
  const line = instruments === 'modbus' ? new DemoLine() : null;
  const air: BleAir | null = instruments === 'ble' ? await startBleAir() : null;
  const linePort = portFor(line === null ? 'probe' : 'line');
  const probePort: DemoPort = air?.portFor('probe') ?? linePort;
  const sonarPort = line === null ? portFor('sonar') : linePort;
  const ports = [...new Set([probePort, sonarPort])];
  const portOf = (board: Board): DemoPort => (board.name === 'probe' ? probePort : sonarPort);
  let stopped = false;
  const complain = (error: Error) => log(`demo: ${error.message}`);
  /** Bytes lost with the cable are part of the show; other faults are told. */
  const send = (port: DemoPort, bytes: Uint8Array) => {
    port.write(bytes).catch((error: Error) => {
      if (port.plugged) complain(error);
    });
  };
  const tell = (nowS: number, what: string) => log(`demo ${nowS.toFixed(0)} s: ${what}`);
  const plugIn = async (port: DemoPort, board: Board) => {
    await port.plug();
    if (stopped) return port.unplug();
    const { nowS } = world.simulation;
    board.powerUp(nowS);
    tell(nowS, `the cable of the ${board.name} is back`);
  };

  const world: DemoWorld = demoWorld(seed, {
    printed: (board, printed) => {
      const port = portOf(board);
      const { bytes } = printed;
      if (line !== null) line.printed(board, printed);
      else if (port.plugged && port.unread() < MOST_UNREAD_BYTES) send(port, bytes);
    },
    cables: {
      unplug: (board, cut) => {
        const port = portOf(board);
        if (!port.plugged) return;
        send(port, line === null ? cut : line.cutAnswer());
        port.unplug().catch(complain);
      },
      replug: (board) => {
        plugIn(portOf(board), board).catch(complain);
      },
    },
    tell,
  });

  try {
    for (const port of ports) await port.plug();
    if (line !== null)
      probePort.onData((bytes) => {
        for (const answer of line.hear(bytes)) if (probePort.plugged) send(probePort, answer);
      });
    for (const board of [world.probe, world.sonar]) {
      const port = portOf(board);
      // a board restarts when its port is opened; slaves of a line know nothing of ports
      if (line === null)
        port.onOpen(() => {
          if (port.plugged) board.powerUp(world.simulation.nowS);
        });
      board.powerUp(0);
    }
    const benchFile = path.join(dir, 'bench.yaml');
    const text = line === null ? demoBench(probePort.address, sonarPort.address) : modbusDemoBench(linePort.address);
    fs.writeFileSync(benchFile, text);
    fs.writeFileSync(path.join(dir, DEMO_PROCEDURE_FILE), DEMO_PROCEDURE);
    const halt = pace(world.simulation, timers);
    return {
      benchFile,
      ports: kind,
      bluetoothBus: air?.bus ?? null,
      world: world.workshop,
      hands: {
        work: (open) => world.hand.work(open, world.simulation.nowS),
        move: (way, amount, unit, tC) => {
          const massKg = unit === 'kg' ? amount : (amount / 1000) * densityKgPerM3(GEAR_OIL, tC);
          world.hand.move(way === 'in' ? massKg : -massKg, tC, world.simulation.nowS);
        },
      },
      describe: () => describe(kind, instruments, dir, seed),
      stop: async () => {
        stopped = true;
        halt();
        await Promise.all(ports.map((port) => port.unplug()));
        await air?.stop();
      },
    };
  } catch (error) {
    await Promise.all(ports.map((port) => port.unplug()));
    await air?.stop();
    throw error;
  }
}

function describe(kind: PortKind, instruments: DemoInstruments, dir: string, seed: number): string {
  const talk = instruments === 'modbus' ? 'Two boards answer as Modbus slaves' : 'Two boards print text';
  return [
    'Simulated: a water mill warms a small pot of oil from its sluice-lift gearbox.',
    `${talk} on ${kind === 'pty' ? `pseudo-terminals in ${dir}` : 'loopback TCP ports'}: a temperature probe and an ultrasonic gauge.`,
    ...(instruments === 'ble'
      ? ['The probe speaks over Bluetooth LE: a simulated service on a message bus of its own.']
      : []),
    `The oil comes into its window of ${WINDOW_C.low} to ${WINDOW_C.high} °C in about a minute (reference ${REFERENCE_C} °C).`,
    `At ${UNPLUG_AT_S} s the probe's cable is out for ${REPLUG_AFTER_S} s; at ${FIRST_ADDING_AT_S} s somebody adds a little oil, later drains it, and so on.`,
    'Start a job and they do only what it says: what you enter as drained or poured in moves the level.',
    `Seed ${seed}: the same seed gives the same noise and the same wild values.`,
  ].join('\n');
}
