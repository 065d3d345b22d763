import { joined, type Printed } from './board.ts';
import { demoWorld } from './demo-world.ts';

export interface CorpusOptions {
  readonly board: 'probe' | 'sonar';
  readonly seed: number;
  readonly seconds: number;
}

/** One piece of output with its time and what it is. */
export interface CorpusPiece extends Printed {
  readonly atS: number;
}

export interface Corpus {
  readonly pieces: readonly CorpusPiece[];
  /** All of it, as a recorder on the port would have kept it. */
  readonly bytes: Uint8Array;
}

/** What one board of the demonstration prints in its first seconds, at virtual time, from power-up; no unplug. */
export function renderCorpus({ board, seed, seconds }: CorpusOptions): Corpus {
  const pieces: CorpusPiece[] = [];
  const world = demoWorld(seed, {
    printed: (from, printed, atS) => {
      if (from.name === board) pieces.push({ ...printed, atS });
    },
  });
  world[board].powerUp(0);
  world.simulation.runUntil(seconds);
  return { pieces, bytes: joined(...pieces.map((piece) => piece.bytes)) };
}
