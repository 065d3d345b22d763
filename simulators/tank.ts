import { densityKgPerM3, type Fluid, soundMPerS } from './fluid.ts';
import { levelM, type Pot, sloshHz } from './pot.ts';
import type { Random } from './random.ts';
import { Slosh } from './slosh.ts';

export interface TankOptions {
  readonly fluid: Fluid;
  readonly pot: Pot;
  /** All the fluid at the start, kg. */
  readonly massKg: number;
  readonly startC: number;
  readonly ambientC: number;
  /** Heat lost to the room per kelvin above it. */
  readonly lossWPerK: number;
  /** Heat capacity of the metal that warms with the fluid. */
  readonly metalJPerK: number;
  /** Share of added fluid that first clings to the walls. */
  readonly clingShare: number;
  /** Time constant of its way down. */
  readonly drainBackS: number;
  readonly sloshDecayS: number;
  /** Slosh speed (standard deviation) for each square root of a kilogram poured. */
  readonly kickMmPerSPerRootKg: number;
  /** First-order lag of the temperature probe in its sleeve. */
  readonly probeLagS: number;
  readonly random: Random;
}

/** No step is longer than this: between them, power and mass are taken as constant. */
const LONGEST_STEP_S = 0.02;

/** The truth: a heated pot of fluid. It knows nothing of boards, lines or measuring. */
export class Tank {
  /** Set by whoever switches the heater. */
  heaterW = 0;
  readonly #o: TankOptions;
  readonly #slosh: Slosh;
  #bulkKg: number;
  #clingingKg = 0;
  #clingingC: number;
  #temperatureC: number;
  #probeC: number;

  constructor(options: TankOptions) {
    this.#o = options;
    this.#bulkKg = options.massKg;
    this.#temperatureC = options.startC;
    this.#probeC = options.startC;
    this.#clingingC = options.startC;
    this.#slosh = new Slosh(options.sloshDecayS);
  }

  /** True temperature of the well-stirred fluid. */
  get temperatureC(): number {
    return this.#temperatureC;
  }

  /** Temperature of the probe's tip, behind the fluid's. */
  get probeC(): number {
    return this.#probeC;
  }

  /** All fluid, clinging fluid included. */
  get massKg(): number {
    return this.#bulkKg + this.#clingingKg;
  }

  get clingingKg(): number {
    return this.#clingingKg;
  }

  /** True level of the calm surface. */
  get levelMm(): number {
    return this.levelAtMm(this.#temperatureC);
  }

  /** Height of the moving surface above the gauge. */
  get surfaceMm(): number {
    return this.levelMm + this.#slosh.heightMm;
  }

  get surfaceSpeedMmPerS(): number {
    return this.#slosh.speedMmPerS;
  }

  /** True level that the fluid now in the pot would have at another temperature. */
  levelAtMm(temperatureC: number): number {
    return this.#levelOfMm(this.#bulkKg, temperatureC);
  }

  /** The same once everything that clings has come down. */
  settledLevelAtMm(temperatureC: number): number {
    return this.#levelOfMm(this.massKg, temperatureC);
  }

  /** Time of a sound pulse from the bottom to the surface and back. */
  get echoS(): number {
    return (2 * (this.surfaceMm / 1000)) / soundMPerS(this.#o.fluid, this.#temperatureC);
  }

  advance(dtS: number): void {
    const steps = Math.ceil(dtS / LONGEST_STEP_S);
    for (let i = 0; i < steps; i += 1) this.#step(dtS / steps);
  }

  /** Pours fluid in: a part clings and comes down later, the rest mixes at once and stirs the surface. */
  add(massKg: number, temperatureC: number): void {
    const clings = massKg * this.#o.clingShare;
    const clinging = this.#clingingKg + clings;
    if (clinging > 0) {
      this.#clingingC = (this.#clingingC * this.#clingingKg + temperatureC * clings) / clinging;
      this.#clingingKg = clinging;
    }
    this.#mix(massKg - clings, temperatureC);
    this.stir(this.#o.random.normal(0, this.#o.kickMmPerSPerRootKg * Math.sqrt(massKg)));
  }

  /** Lets fluid out at the bottom; never more than there is. Returns what came out, kg. */
  drain(massKg: number): number {
    const out = Math.min(massKg, this.#bulkKg);
    this.#bulkKg -= out;
    this.stir(this.#o.random.normal(0, this.#o.kickMmPerSPerRootKg * Math.sqrt(out)));
    return out;
  }

  /** A pump draws fluid off below the surface, which stays calm. Returns what it got, kg. */
  draw(massKg: number): number {
    const out = Math.min(massKg, this.#bulkKg);
    this.#bulkKg -= out;
    return out;
  }

  /** What a pump drew comes back below the surface, as warm as the rest. */
  giveBack(massKg: number): void {
    this.#mix(massKg, this.#temperatureC);
  }

  /** A knock: the surface gets this much speed. */
  stir(speedMmPerS: number): void {
    this.#slosh.kick(speedMmPerS);
  }

  #step(dtS: number): void {
    const comesDown = this.#clingingKg * -Math.expm1(-dtS / this.#o.drainBackS);
    this.#clingingKg -= comesDown;
    this.#mix(comesDown, this.#clingingC);
    this.#heat(dtS);
    this.#slosh.advance(dtS, sloshHz(this.#o.pot, this.levelMm / 1000));
  }

  /** C dT/dt = P − G (T − ambient), solved exactly for constant P; the probe follows a straight ramp exactly. */
  #heat(dtS: number): void {
    const before = this.#temperatureC;
    const finalC = this.#o.ambientC + this.heaterW / this.#o.lossWPerK;
    const after = before - (finalC - before) * Math.expm1((-this.#o.lossWPerK * dtS) / this.#capacityJPerK);
    const ramp = (after - before) / dtS;
    const lagK = ramp * this.#o.probeLagS;
    this.#probeC = after - lagK + (this.#probeC - before + lagK) * Math.exp(-dtS / this.#o.probeLagS);
    this.#temperatureC = after;
  }

  /** Enthalpy is conserved: the metal takes part, being at the fluid's temperature. */
  #mix(massKg: number, temperatureC: number): void {
    const added = massKg * this.#o.fluid.heatCapacityJPerKgK;
    const present = this.#capacityJPerK;
    this.#temperatureC = (present * this.#temperatureC + added * temperatureC) / (present + added);
    this.#bulkKg += massKg;
  }

  get #capacityJPerK(): number {
    return this.#bulkKg * this.#o.fluid.heatCapacityJPerKgK + this.#o.metalJPerK;
  }

  #levelOfMm(massKg: number, temperatureC: number): number {
    return 1000 * levelM(this.#o.pot, massKg / densityKgPerM3(this.#o.fluid, temperatureC));
  }
}
