/** What exists and changes by itself. */
export interface World {
  advance(dtS: number): void;
}

/** Somebody or something that acts at moments of its own choosing. */
export interface Actor {
  /** s since the start; infinite when it waits for something else. */
  nextAtS(): number;
  act(nowS: number): void;
}

/**
 * One world and its actors in one order of time, s since the start. The world is advanced from act to act only, so
 * that virtual and real time give the same bytes.
 */
export class Simulation {
  readonly #world: World;
  readonly #actors: readonly Actor[];
  #worldS = 0;
  #nowS = 0;

  /** Of actors due at the same moment, the earlier in the list goes first. */
  constructor(world: World, actors: readonly Actor[]) {
    this.#world = world;
    this.#actors = actors;
  }

  /** Everything due up to here has happened. */
  get nowS(): number {
    return this.#nowS;
  }

  /** When the next actor is due. */
  nextAtS(): number {
    return Math.min(...this.#actors.map((actor) => actor.nextAtS()));
  }

  /** Lets everything happen that is due up to and including `tS`. */
  runUntil(tS: number): void {
    for (let dueS = this.nextAtS(); dueS <= tS; dueS = this.nextAtS()) {
      const actor = this.#actors.find((candidate) => candidate.nextAtS() === dueS);
      if (actor === undefined) throw new Error('simulation: an actor changed its mind while being asked');
      this.#advanceTo(dueS);
      actor.act(this.#worldS);
    }
    this.#nowS = Math.max(this.#nowS, tS);
  }

  #advanceTo(tS: number): void {
    if (tS <= this.#worldS) return;
    this.#world.advance(tS - this.#worldS);
    this.#worldS = tS;
    this.#nowS = tS;
  }
}
