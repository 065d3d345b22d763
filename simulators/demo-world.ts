import type { Board, Printed } from './board.ts';
import { levelBoard } from './level-board.ts';
import { Random } from './random.ts';
import { type Actor, Simulation } from './simulation.ts';
import { temperatureBoard } from './temperature-board.ts';
import { Hand, Workshop } from './workshop.ts';

export const UNPLUG_AT_S = 20;
export const REPLUG_AFTER_S = 3;

/** Where the boards' output goes, and who pulls cables. */
export interface DemoOutlets {
  /** A board has printed. */
  printed(board: Board, printed: Printed, nowS: number): void;
  /** For people: what is going on. */
  tell?(nowS: number, what: string): void;
  /** Absent: nobody pulls cables. */
  readonly cables?: Cables;
}

export interface Cables {
  /** The cable is pulled in the middle of a line, whose beginning still got out. */
  unplug(board: Board, cut: Uint8Array): void;
  /** The board gets power (`powerUp`) once the cable is in. */
  replug(board: Board): void;
}

export interface DemoWorld {
  readonly workshop: Workshop;
  readonly probe: Board;
  readonly sonar: Board;
  readonly simulation: Simulation;
  readonly hand: Hand;
}

/** The demonstration without ports and without a clock: run its simulation at whatever pace. */
export function demoWorld(seed: number, outlets: DemoOutlets): DemoWorld {
  const workshop = new Workshop(seed);
  const { tank } = workshop;
  const probe = temperatureBoard(tank, Random.of(seed, 'probe'));
  const sonar = levelBoard(tank, Random.of(seed, 'sonar'));
  const printer = (board: Board): Actor => ({
    nextAtS: () => board.nextAtS(),
    act: (nowS) => outlets.printed(board, board.print(), nowS),
  });
  const tell = (nowS: number, what: string) => outlets.tell?.(nowS, what);
  const hand = new Hand(tank, Random.of(seed, 'hand'), tell);
  const actors: Actor[] = [printer(probe), printer(sonar), hand];
  if (outlets.cables !== undefined) actors.push(puller(probe, outlets.cables, tell));
  return { workshop, probe, sonar, simulation: new Simulation(workshop, actors), hand };
}

/** One unplug and replug. */
function puller(board: Board, cables: Cables, tell: (nowS: number, what: string) => void): Actor {
  let nextAtS = UNPLUG_AT_S;
  return {
    nextAtS: () => nextAtS,
    act: (nowS) => {
      if (nextAtS === UNPLUG_AT_S) {
        nextAtS += REPLUG_AFTER_S;
        cables.unplug(board, board.cutLine());
        board.powerDown();
        tell(nowS, `the cable of the ${board.name} is pulled`);
      } else {
        nextAtS = Number.POSITIVE_INFINITY;
        cables.replug(board);
      }
    },
  };
}
