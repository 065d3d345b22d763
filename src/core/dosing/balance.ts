/**
 * What went in and out against what the level says: in − out − spilled − left behind = change in the machine. What is left
 * over is the misclosure; beyond its uncertainty something is wrong, and `causes.ts` says what it may be.
 */
import type { Vessel } from '../vessels/vessel.ts';
import { type Cause, causesOf } from './causes.ts';
import { type Counted, summed } from './counted.ts';

/** `left`: in the old pan, a hose, a filter that went. */
export const ENTRY_KINDS = ['in', 'out', 'spilled', 'left'] as const;
export type EntryKind = (typeof ENTRY_KINDS)[number];

export interface Entry extends Counted {
  readonly id: string;
  readonly kind: EntryKind;
}

/** How much more is in vessel and circuit than before, L at the temperature of the levels. */
export interface Change {
  readonly litres: number;
  readonly uLitres: number;
  /** ∂litres/∂level after, L/mm. */
  readonly perMm: number;
  readonly inRange: boolean;
}

export interface Levels {
  readonly beforeMm: number;
  readonly afterMm: number;
  /** Standard uncertainty of their difference: what both share has gone. */
  readonly uDifferenceMm: number;
}

export interface Balance {
  /** L at the temperature of the levels. */
  readonly litres: Readonly<Record<EntryKind, number>>;
  /** in − out − spilled − left. */
  readonly countedL: number;
  readonly changeL: number;
  /** Counted minus change: above 0 fluid is missing, below 0 there is more than was counted. */
  readonly misclosureL: number;
  readonly U95L: number;
  readonly closed: boolean;
  /** Likeliest first; empty where it closes. */
  readonly causes: readonly Cause[];
  readonly inRange: boolean;
}

const K95 = 1.959963984540054;

/** By table or shape, with what the circuit holds more or less than before. */
export function changeByVessel(
  vessel: Vessel,
  levelC: number,
  { beforeMm, afterMm, uDifferenceMm }: Levels,
  circuit: { readonly litres: number; readonly uLitres: number } = { litres: 0, uLitres: 0 },
): Change {
  const before = vessel.litresAt(beforeMm, levelC);
  const after = vessel.litresAt(afterMm, levelC);
  const litres = after.value - before.value;
  const strapped = vessel.description.uVolumeShare * litres;
  const read = after.derivative * uDifferenceMm;
  return {
    litres: litres + circuit.litres,
    uLitres: Math.sqrt(strapped * strapped + read * read + circuit.uLitres * circuit.uLitres),
    perMm: after.derivative,
    inRange: before.inRange && after.inRange,
  };
}

/** By what the doses of the job taught of an unknown vessel, mm per litre with its standard uncertainty. */
export function changeByFactor(mmPerLitre: number, u: number, { beforeMm, afterMm, uDifferenceMm }: Levels): Change {
  const litres = (afterMm - beforeMm) / mmPerLitre;
  const byFactor = (litres * u) / mmPerLitre;
  const read = uDifferenceMm / mmPerLitre;
  return { litres, uLitres: Math.sqrt(byFactor * byFactor + read * read), perMm: 1 / mmPerLitre, inRange: true };
}

/** `levelC`: the temperature that change and levels stand for. */
export function balance(entries: readonly Entry[], change: Change, levels: Levels, levelC: number): Balance {
  const counted = summed(entries.map(signed), levelC);
  const misclosureL = counted.litres - change.litres;
  const U95L = K95 * Math.sqrt(counted.uLitres * counted.uLitres + change.uLitres * change.uLitres);
  const closed = Math.abs(misclosureL) <= U95L;
  const of = (kind: EntryKind): number =>
    summed(
      entries.filter((entry) => entry.kind === kind).map((one) => ({ sign: 1, one })),
      levelC,
    ).litres;
  return {
    litres: { in: of('in'), out: of('out'), spilled: of('spilled'), left: of('left') },
    countedL: counted.litres,
    changeL: change.litres,
    misclosureL,
    U95L,
    closed,
    causes: closed ? [] : causesOf({ misclosureL, U95L, entries, change, levels, levelC }),
    inRange: counted.inRange && change.inRange,
  };
}

/** What goes in counts up, all else down. */
export function signed(one: Entry): { readonly sign: number; readonly one: Entry } {
  return { sign: one.kind === 'in' ? 1 : -1, one };
}
