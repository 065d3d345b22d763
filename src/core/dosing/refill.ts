/**
 * How much to fill in again: the drained volume at the temperature of the levels, as cool as the new fluid is when it is
 * poured, and what the job takes besides. And how much must be in before the machine is started.
 */
import type { Fluid } from '../fluids/fluid.ts';
import { combined } from '../fluids/property.ts';
import type { Vessel } from '../vessels/vessel.ts';
import { litresPerUnit } from './amounts.ts';
import { type Counted, summed } from './counted.ts';

/** What goes in besides: a dry filter, a hose that stays full, a small overfill to be drained. L as poured. */
export interface Allowance {
  readonly what: string;
  readonly litres: number;
  readonly uLitres: number;
}

export interface Refill {
  /** L of the new fluid as warm as it is poured. */
  readonly litres: number;
  readonly uLitres: number;
  /** Of it, what takes the place of what was drained. */
  readonly replacesL: number;
  readonly allowanceL: number;
  readonly inRange: boolean;
}

/** `drained` counts what came out of the machine, spilled fluid too. `levelC`: where old and new are to fill the same space. */
export function refillPlan(
  drained: readonly Counted[],
  allowances: readonly Allowance[],
  { fresh, levelC, pourC, uPouredK }: { fresh: Fluid; levelC: number; pourC: number; uPouredK: number },
): Refill {
  const out = summed(
    drained.map((one) => ({ sign: 1, one })),
    levelC,
  );
  // Going on to the pouring temperature with the old fluid itself would cancel an error of one fluid; two fluids have two.
  const same = drained.length > 0 && drained.every(({ fluid }) => fluid === fresh);
  const per = litresPerUnit(fresh, { kind: 'volume' }, levelC, pourC);
  const replacesL = out.litres * per.value;
  const byHeat = out.litres * per.perToC * uPouredK;
  const u = same
    ? summed(
        drained.map((one) => ({ sign: 1, one })),
        pourC,
      ).uLitres
    : Math.sqrt(sq(out.uLitres * per.value) + sq(out.litres * combined(per.constants)));
  const allowanceL = allowances.reduce((sum, { litres }) => sum + litres, 0);
  const uAllowance2 = allowances.reduce((sum, { uLitres }) => sum + sq(uLitres), 0);
  return {
    litres: replacesL + allowanceL,
    uLitres: Math.sqrt(sq(u) + sq(byHeat) + uAllowance2),
    replacesL,
    allowanceL,
    inRange: out.inRange && per.inRange,
  };
}

export interface Start {
  /** mm below which the pump draws air, as levels are told. */
  readonly pickUpMm: number;
  /** How far above it the level must stay. */
  readonly marginMm: number;
  /** L at the temperature of the levels that pump, cooler and passages take when the machine starts, and its standard uncertainty. */
  readonly takesL: number;
  readonly uTakesL: number;
}

export interface StartFill {
  /** Level, mm, to be reached before the machine is started. */
  readonly leastMm: number;
  /** L at the temperature of the levels still lacking, 0 when enough is in. */
  readonly lackingL: number;
  /** Level expected after the start from where it stands now. */
  readonly afterStartMm: number;
  readonly enough: boolean;
  readonly inRange: boolean;
}

const K95 = 1.959963984540054;

/** Enough is in when the level stays above pick-up and margin even if the machine takes all that it may, at 95 %. */
export function startFill(vessel: Vessel, levelMm: number, levelC: number, start: Start): StartFill {
  const { pickUpMm, marginMm, takesL, uTakesL } = start;
  const there = vessel.litresAt(levelMm, levelC);
  const kept = vessel.litresAt(pickUpMm + marginMm, levelC);
  const least = vessel.levelAt(kept.value + takesL + K95 * uTakesL, levelC);
  const lackingL = Math.max(0, kept.value + takesL + K95 * uTakesL - there.value);
  const after = vessel.levelAt(there.value - takesL, levelC);
  return {
    leastMm: least.value,
    lackingL,
    afterStartMm: after.value,
    enough: lackingL === 0,
    inRange: there.inRange && kept.inRange && least.inRange,
  };
}

function sq(value: number): number {
  return value * value;
}
