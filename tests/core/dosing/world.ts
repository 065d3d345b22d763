/**
 * The truth for dosing: mass in a pan whose plan is any function of the height, litres by Simpson's rule, levels by
 * bisection, densities by the simulators' own fluid. Nothing of it comes from the measuring core.
 */
import { densityKgPerM3, type Fluid } from '../../../simulators/fluid.ts';

export interface Pan {
  /** Plan at a height, dm². */
  readonly planDm2: (mm: number) => number;
  readonly heightMm: number;
}

export const OIL: Fluid = { density15: 868, heatCapacityJPerKgK: 1950, sound20: 1440, soundPerK: -3.5 };

const SLICES = 400;

/** dm² × mm/100 = L. */
export function litresIn({ planDm2 }: Pan, mm: number): number {
  const width = mm / SLICES;
  let sum = 0;
  for (let i = 0; i <= SLICES; i++) sum += (i === 0 || i === SLICES ? 1 : i % 2 === 1 ? 4 : 2) * planDm2(i * width);
  return (sum * width) / 3 / 100;
}

export function levelIn(pan: Pan, litres: number): number {
  let low = 0;
  let high = pan.heightMm;
  for (let i = 0; i < 50; i++) {
    const middle = (low + high) / 2;
    if (litresIn(pan, middle) < litres) low = middle;
    else high = middle;
  }
  return (low + high) / 2;
}

/** A machine with fluid in it. What goes in or out is mass; the level is told for one temperature. */
export class Machine {
  kg: number;
  readonly pan: Pan;
  readonly levelC: number;

  constructor(pan: Pan, levelC: number, mm: number) {
    this.pan = pan;
    this.levelC = levelC;
    this.kg = (litresIn(pan, mm) * densityKgPerM3(OIL, levelC)) / 1000;
  }

  get levelMm(): number {
    return levelIn(this.pan, (1000 * this.kg) / densityKgPerM3(OIL, this.levelC));
  }

  /** Litres as warm as they are told to be, above 0 in, below 0 out. */
  pour(litres: number, tC: number): void {
    this.kg += (litres * densityKgPerM3(OIL, tC)) / 1000;
  }
}
