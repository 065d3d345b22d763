/** Amounts that were counted, summed at one temperature: an error that several have in common counts once, with its sign. */
import type { Fluid } from '../fluids/fluid.ts';
import { litresPerUnit, type Measure } from './amounts.ts';

export interface Counted {
  /** In the unit of the measure. */
  readonly amount: number;
  /** °C as it was measured, with its standard uncertainty. */
  readonly tC: number;
  readonly uTemperatureK: number;
  readonly fluid: Fluid;
  readonly measure: Measure;
  /** Which jug or scale: its share of error is in all amounts that it counted. */
  readonly measureId: string;
}

export interface Sum {
  /** L at the temperature asked for. */
  readonly litres: number;
  readonly uLitres: number;
  /** False where a fluid is used outside what is known of it. */
  readonly inRange: boolean;
}

/** Σ sign × amount at `toC`. */
export function summed(counted: readonly { readonly sign: number; readonly one: Counted }[], toC: number): Sum {
  let litres = 0;
  let own = 0;
  let inRange = true;
  const common = new Map<string, number>();
  const add = (key: string, signed: number) => common.set(key, (common.get(key) ?? 0) + signed);
  for (const { sign, one } of counted) {
    const { amount, tC, uTemperatureK, fluid, measure, measureId } = one;
    const per = litresPerUnit(fluid, measure.gauge, tC, toC);
    litres += sign * amount * per.value;
    inRange &&= per.inRange;
    const byHeat = amount * per.perFromC * uTemperatureK;
    const byHand = per.value * measure.uEach;
    own += byHeat * byHeat + byHand * byHand;
    add(`measure ${measureId}`, sign * amount * per.value * measure.uShare);
    for (const { name, perUnit, u } of per.constants) add(`fluid ${fluid.name}: ${name}`, sign * amount * perUnit * u);
  }
  for (const signed of common.values()) own += signed * signed;
  return { litres, uLitres: Math.sqrt(own), inRange };
}
