import fs from 'node:fs';
import path from 'node:path';
import { Board } from './board.ts';
import { GEAR_OIL } from './fluid.ts';
import { ptysAvailable } from './libc.ts';
import type { Port } from './port.ts';
import { PtyPort } from './pty.ts';
import { Random } from './random.ts';
import { pace, realTimers, type Timers } from './scheduler.ts';
import { type Actor, Simulation } from './simulation.ts';
import { SUMP_WINDOW_C, Sump } from './sump.ts';
import { TcpPort } from './tcp-port.ts';
import { temperatureBoard } from './temperature-board.ts';

const FLOAT_PERIOD_S = 0.2;
/** Of one value of a float gauge, mm: common practice, no source. */
const FLOAT_NOISE_MM = 0.04;
/** A board whose output nobody takes loses it. */
const MOST_UNREAD_BYTES = 2048;

export interface SumpBench {
  readonly benchFile: string;
  /** The truth, and what hands do to it. */
  readonly sump: Sump;
  stop(): Promise<void>;
}

/** A float gauge, `float 58.27 mm ok` with LF every 200 ms. */
function floatBoard(sump: Sump, random: Random): Board {
  const line = (mm: number) => ({ before: 'float ', number: mm.toFixed(2), after: ' mm ok' });
  return new Board(
    {
      ...{
        name: 'float',
        periodS: FLOAT_PERIOD_S,
        jitterS: 0.004,
        eol: '\n',
        bootLines: ['float gauge 3'],
        bootGapS: 0.1,
      },
      measure: () => line(sump.gaugeMm + random.normal(0, FLOAT_NOISE_MM)),
      wild: () => line(0),
      ...{ wildShare: 0.001, garbledShare: 0.001 },
    },
    random,
  );
}

/** Plugs the boards of the machine in, writes its bench file into `dir` and lets it run in real time. */
export async function startSumpBench(dir: string, seed: number, timers: Timers = realTimers): Promise<SumpBench> {
  fs.mkdirSync(dir, { recursive: true });
  const sump = new Sump(seed);
  const portFor = (name: string): Port =>
    ptysAvailable() ? new PtyPort(path.join(dir, `${name}.tty`)) : new TcpPort();
  const boards = [temperatureBoard(sump, Random.of(seed, 'probe')), floatBoard(sump, Random.of(seed, 'float'))];
  const plugged = boards.map((board) => ({ board, port: portFor(board.name) }));
  for (const { port } of plugged) await port.plug();
  const actors = plugged.map(
    ({ board, port }): Actor => ({
      nextAtS: () => board.nextAtS(),
      act: () => {
        const { bytes } = board.print();
        // What nobody takes is lost, and so is what a cable loses.
        if (port.plugged && port.unread() < MOST_UNREAD_BYTES) port.write(bytes).catch(() => {});
      },
    }),
  );
  const simulation = new Simulation(sump, actors);
  for (const { board, port } of plugged) {
    port.onOpen(() => board.powerUp(simulation.nowS));
    board.powerUp(0);
  }
  const benchFile = path.join(dir, 'bench.yaml');
  const [probe, float] = plugged.map(({ port }) => linkOf(port));
  fs.writeFileSync(benchFile, benchText(probe as string, float as string));
  const halt = pace(simulation, timers);
  return {
    benchFile,
    sump,
    async stop() {
      halt();
      await Promise.all(plugged.map(({ port }) => port.unplug()));
    },
  };
}

function linkOf({ address }: Port): string {
  if (address.kind === 'tcp') return `{ tcp: "${address.host}:${address.port}" }`;
  return `{ serial: ./${path.basename(address.path)}, baud: 115200 }`;
}

function benchText(probe: string, float: string): string {
  const rows = [0, 40, 80, 120, 160].map((mm) => `[${mm} mm, ${Sump.litresAt(mm).toFixed(4)} L]`);
  return `# A simulated peat press; no hot fluid and no engine is involved.
bench: Peat press, sump
instruments:
  probe: { driver: pattern, link: ${probe}, every: 500 ms, pattern: "R={resistance} ohm{...}" }
  float: { driver: pattern, link: ${float}, every: ${1000 * FLOAT_PERIOD_S} ms, pattern: "float {level} mm ok" }
channels:
  temperature:
    from: probe.resistance
    unit: Ohm
    law: { platinum-rtd: { r0: 100 Ohm } }
    uncertainty: 0.2 K
    range: -20 °C to 150 °C
  level: { from: float.level, unit: mm, resolution: 0.01 mm, uncertainty: 0.05 mm, range: 2 mm to 160 mm }
measure:
  level: level
  temperature: temperature
  window: ${SUMP_WINDOW_C.low} °C to ${SUMP_WINDOW_C.high} °C
  compensation: { vessel-and-fluid: true }
  match: { tolerance: 1 mm, refit: 0.05 mm }
  steady: { tolerance: 1 mm, settling: 2 s }
fluid:
  name: press oil
  density: { lubricating-oil: { at-15-C: ${GEAR_OIL.density15} kg/m3, uncertainty: 2 kg/m3 } }
vessel:
  shape: { strapping-table: [${rows.join(', ')}] }
  uncertainty: 0.5 %
machine:
  states: [idling]
`;
}
