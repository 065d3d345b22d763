import { densityKgPerM3, GEAR_OIL } from './fluid.ts';
import type { Pot } from './pot.ts';
import { Random } from './random.ts';
import type { Actor, World } from './simulation.ts';
import { Tank } from './tank.ts';
import { Thermostat } from './thermostat.ts';

/**
 * The demonstration's workshop, all invented: a water mill tests the oil of its sluice-lift gearbox in a small heated
 * pot. The mill's log book gives the level at 50 °C and takes readings between 46 and 54 °C.
 */
export const REFERENCE_C = 50;
export const WINDOW_C = { low: 46, high: 54 } as const;

export const POT: Pot = { footRadiusM: 0.1135, taper: 0.05 };
/** 2.4 litres at the reference temperature. */
const FILL_KG = 2.4e-3 * densityKgPerM3(GEAR_OIL, REFERENCE_C);
const AMBIENT_C = 19;

/** Loss, metal, clinging, lag and stirring are common practice for an open steel pot of this size, no source. */
function makeTank(random: Random): Tank {
  return new Tank({
    fluid: GEAR_OIL,
    pot: POT,
    massKg: FILL_KG,
    startC: 21,
    ambientC: AMBIENT_C,
    lossWPerK: 1.8,
    metalJPerK: 350,
    clingShare: 0.15,
    drainBackS: 7,
    sloshDecayS: 4.5,
    kickMmPerSPerRootKg: 180,
    probeLagS: 0.8,
    random,
  });
}

/** Power and heat capacity bring 21 °C to the window in about a minute. */
const ELEMENTS = { fullW: 1900, holdW: 240, fullUntilC: 48.2, fullAgainC: 45, holdOnC: 49.6, holdOffC: 50.4 } as const;

/** The demonstration's world: the pot and its thermostat. */
export class Workshop implements World {
  readonly tank: Tank;
  readonly #thermostat = new Thermostat(ELEMENTS);

  constructor(seed: number) {
    this.tank = makeTank(Random.of(seed, 'tank'));
    this.#thermostat.control(this.tank);
  }

  advance(dtS: number): void {
    const steps = Math.ceil(dtS / 0.05);
    for (let i = 0; i < steps; i += 1) {
      this.tank.advance(dtS / steps);
      this.#thermostat.control(this.tank);
    }
  }
}

const PORTION_EVERY_S = 0.1;
const PORTIONS = 20;
/** The jug or the tap knocks the surface at the start, mm/s. */
const KNOCK_MM_PER_S = 45;

/** When the pot is filled or emptied a little: first after a good while of calm, then again and again. */
export const FIRST_ADDING_AT_S = 105;
const AGAIN_AFTER_S = 90;

/** What a job moves: kg, above 0 poured in, as warm as it is poured. */
interface Portion {
  readonly massKg: number;
  readonly tC: number;
  done: number;
  readonly beganS: number;
}

/**
 * Somebody who adds a little fluid from a jug, drains as much the next time, and so on. While a job is open they only do
 * what it says.
 */
export class Hand implements Actor {
  readonly #tank: Tank;
  readonly #random: Random;
  readonly #tell: (nowS: number, what: string) => void;
  #startsAtS = FIRST_ADDING_AT_S;
  #portionsDone = 0;
  #massKg = 0;
  #adds = false;
  #started = false;
  #working = false;
  #nowS = 0;
  readonly #moves: Portion[] = [];

  constructor(tank: Tank, random: Random, tell: (nowS: number, what: string) => void) {
    this.#tank = tank;
    this.#random = random;
    this.#tell = tell;
  }

  nextAtS(): number {
    if (!this.#started) return 0;
    const [move] = this.#moves;
    const moveS = move === undefined ? Number.POSITIVE_INFINITY : move.beganS + move.done * PORTION_EVERY_S;
    const ownS = this.#startsAtS + this.#portionsDone * PORTION_EVERY_S;
    return Math.min(moveS, this.#working && this.#portionsDone === 0 ? Number.POSITIVE_INFINITY : ownS);
  }

  /** A job begins or ends. */
  work(open: boolean, nowS: number): void {
    this.#working = open;
    if (!open) this.#startsAtS = Math.max(this.#startsAtS, nowS + AGAIN_AFTER_S);
  }

  /** Pours in (above 0) or draws off, over a few seconds. */
  move(massKg: number, tC: number, nowS: number): void {
    this.#tell(
      nowS,
      `${massKg > 0 ? 'pouring in' : 'drawing off'} ${Math.abs(massKg * 1000).toFixed(0)} g of oil for the job`,
    );
    this.#moves.push({ massKg, tC, done: 0, beganS: Math.max(nowS, this.#nowS) });
  }

  act(nowS: number): void {
    this.#nowS = nowS;
    const [move] = this.#moves;
    if (move !== undefined && nowS >= move.beganS + move.done * PORTION_EVERY_S - 1e-9) {
      if (move.done === 0) this.#tank.stir(KNOCK_MM_PER_S);
      if (move.massKg > 0) this.#tank.add(move.massKg / PORTIONS, move.tC);
      else this.#tank.drain(-move.massKg / PORTIONS);
      move.done += 1;
      if (move.done === PORTIONS) this.#moves.shift();
      return;
    }
    if (!this.#started) {
      this.#started = true;
      this.#tank.stir(KNOCK_MM_PER_S);
      return;
    }
    if (this.#portionsDone === 0) this.#begin(nowS);
    const portionKg = this.#massKg / PORTIONS;
    if (this.#adds) this.#tank.add(portionKg, AMBIENT_C);
    else this.#tank.drain(portionKg);
    this.#portionsDone += 1;
    if (this.#portionsDone < PORTIONS) return;
    this.#portionsDone = 0;
    this.#startsAtS += AGAIN_AFTER_S;
  }

  #begin(nowS: number): void {
    this.#adds = !this.#adds;
    if (this.#adds) this.#massKg = this.#random.uniform(0.04, 0.05);
    this.#tank.stir(KNOCK_MM_PER_S);
    this.#tell(nowS, `${this.#adds ? 'adding' : 'draining'} ${(this.#massKg * 1000).toFixed(0)} g of oil`);
  }
}
