import { densityKgPerM3, GEAR_OIL } from './fluid.ts';
import { type Pot, volumeM3 } from './pot.ts';
import { Random } from './random.ts';
import type { World } from './simulation.ts';
import { Tank } from './tank.ts';
import { Thermostat } from './thermostat.ts';

/**
 * An invented machine whose fluid is changed: the sump of a peat press. Its engine warms the fluid and pumps some of it
 * into cooler and passages, from where it comes back when the engine stops. It warms as fast as nobody's machine does, so
 * that a job takes a minute.
 */
export const SUMP: Pot = { footRadiusM: 0.178, taper: 0 };
export const SUMP_WINDOW_C = { low: 46, high: 54 } as const;
/** What the float gauge shows on the block that its zero is checked on. */
export const BLOCK_MM = 25;

const AMBIENT_C = 19;
/** In the vessel and the circuit together, kg. */
const FILL_KG = 5.4;
/** Held by cooler and passages while the engine runs, kg, and how fast it gets there and back. */
const CIRCUIT_KG = 0.5;
const CIRCUIT_S = 0.6;
const ENGINE = { fullW: 42_000, holdW: 5_000, fullUntilC: 48, fullAgainC: 44, holdOnC: 49.6, holdOffC: 50.4 } as const;
const LONGEST_STEP_S = 0.05;

/** The truth of the machine. What is poured in and let out is told in litres at their temperature, as a jug shows them. */
export class Sump implements World {
  readonly #tank: Tank;
  readonly #random: Random;
  readonly #thermostat = new Thermostat(ENGINE);
  #circuitKg = 0;
  /** Switched by a person. */
  engineRuns = false;
  /** The gauge was taken off and stands on its block. */
  onBlock = false;

  constructor(seed: number) {
    this.#random = Random.of(seed, 'sump');
    this.#tank = new Tank({
      ...{ fluid: GEAR_OIL, pot: SUMP, massKg: FILL_KG, startC: 21, ambientC: AMBIENT_C },
      ...{ lossWPerK: 110, metalJPerK: 4000, clingShare: 0.1, drainBackS: 1 },
      ...{ sloshDecayS: 1.5, kickMmPerSPerRootKg: 25, probeLagS: 0.3, random: this.#random },
    });
  }

  get heaterW(): number {
    return this.#tank.heaterW;
  }

  get temperatureC(): number {
    return this.#tank.temperatureC;
  }

  get probeC(): number {
    return this.#tank.probeC;
  }

  /** True level of the calm surface. */
  get levelMm(): number {
    return this.#tank.levelMm;
  }

  /** What the float gauge stands at. */
  get gaugeMm(): number {
    return this.onBlock ? BLOCK_MM : this.#tank.surfaceMm;
  }

  /** All fluid, that in the circuit included. */
  get massKg(): number {
    return this.#tank.massKg + this.#circuitKg;
  }

  /** Litres at the top of a straight sump of this height, for a strapping table. */
  static litresAt(levelMm: number): number {
    return 1000 * volumeM3(SUMP, levelMm / 1000);
  }

  /** Pours litres in, measured as warm as they are. */
  pour(litres: number, temperatureC: number): void {
    this.#tank.add((litres / 1000) * densityKgPerM3(GEAR_OIL, temperatureC), temperatureC);
  }

  /** Lets litres out, measured as warm as the fluid is. What came out, L: less where there was less. */
  drain(litres: number): number {
    const density = densityKgPerM3(GEAR_OIL, this.temperatureC);
    return (1000 * this.#tank.drain((litres / 1000) * density)) / density;
  }

  advance(dtS: number): void {
    const steps = Math.ceil(dtS / LONGEST_STEP_S);
    for (let i = 0; i < steps; i += 1) this.#step(dtS / steps);
  }

  #step(dtS: number): void {
    const wantedKg = this.engineRuns ? CIRCUIT_KG : 0;
    const movedKg = (wantedKg - this.#circuitKg) * -Math.expm1(-dtS / CIRCUIT_S);
    // The pump takes it without stirring: it moves as the suction draws.
    if (movedKg > 0) this.#circuitKg += this.#tank.draw(movedKg);
    else {
      this.#tank.giveBack(-movedKg);
      this.#circuitKg += movedKg;
    }
    this.#thermostat.control(this.#tank);
    if (!this.engineRuns) this.#tank.heaterW = 0;
    this.#tank.advance(dtS);
  }
}
