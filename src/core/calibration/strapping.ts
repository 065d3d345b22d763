/**
 * A strapping table from known additions: what was poured adds up, and so do its errors. The error of one addition is in
 * every volume after it, and the scale error of the measure is in all of them.
 */
import { monotoneCubic } from '../monotone-cubic.ts';

export interface Addition {
  /** Poured in before this level was read; 0 for the level at the beginning. */
  readonly litres: number;
  /** Standard uncertainty of this addition alone. */
  readonly uLitres: number;
  readonly levelMm: number;
  readonly uLevelMm: number;
}

export interface StrappingRow {
  readonly levelMm: number;
  readonly litres: number;
  /** Standard uncertainty of the litres at that level, all of it. */
  readonly uLitres: number;
  /** Without what the row has from its own level: additions, measure and beginning. */
  readonly uPouredL: number;
}

export interface StrappingResult {
  readonly rows: readonly StrappingRow[];
  /** Covariance of the volumes, L². */
  readonly covariance: readonly (readonly number[])[];
  /** For the whole table: the largest share of its volume that a row in its upper three quarters has as uncertainty. */
  readonly uShare: number;
  /** How far each inner row lies from the curve through the others, L; empty with fewer than four rows. */
  readonly leftOutL: readonly number[];
}

export interface StrappingOptions {
  /** What was in the vessel before the first addition, with its standard uncertainty. */
  readonly startL: number;
  readonly uStartL: number;
  /** Scale error of the measure that all additions were made with, as a share of them. */
  readonly uMeasureShare: number;
}

const LEAST_SHARE_OF_FULL = 0.25;

/** Throws a RangeError that names the row where the table cannot be one. */
export function strapping(additions: readonly Addition[], options: StrappingOptions): StrappingResult {
  const { startL, uStartL, uMeasureShare } = options;
  if (additions.length < 2) throw new RangeError('two levels at least make a table');
  const volumes: number[] = [];
  const own: number[] = [];
  let poured = 0;
  let scatter = 0;
  for (const [i, { litres, uLitres, levelMm }] of additions.entries()) {
    const before = additions[i - 1];
    if (i > 0 && !(litres > 0)) throw new RangeError(`row ${i + 1}: an addition must be above 0 L, not ${litres} L`);
    if (before !== undefined && !(levelMm > before.levelMm))
      throw new RangeError(
        `row ${i + 1}: the level went from ${before.levelMm} mm to ${levelMm} mm though ${litres} L were added: read it again, or look for a leak, trapped air or an addition in the wrong row`,
      );
    poured += litres;
    scatter += uLitres * uLitres;
    volumes.push(poured);
    own.push(scatter);
  }
  if (!(startL >= 0 && (volumes[0] as number) + startL >= 0)) throw new RangeError('a volume below 0 L cannot be');
  const litres = volumes.map((volume) => startL + volume);
  const levels = additions.map(({ levelMm }) => levelMm);
  const curve = monotoneCubic(levels, litres);
  const byLevel = additions.map(({ levelMm, uLevelMm }) => curve.at(levelMm).derivative * uLevelMm);
  const covariance = volumes.map((a, i) =>
    volumes.map((b, j) => {
      const level = i === j ? (byLevel[i] as number) * (byLevel[j] as number) : 0;
      return uStartL * uStartL + (own[Math.min(i, j)] as number) + a * b * uMeasureShare * uMeasureShare + level;
    }),
  );
  const rows = litres.map((volume, i) => {
    const all = covariance[i]?.[i] ?? 0;
    const level = byLevel[i] as number;
    return {
      levelMm: levels[i] as number,
      litres: volume,
      uLitres: Math.sqrt(all),
      uPouredL: Math.sqrt(Math.max(0, all - level * level)),
    };
  });
  const full = litres.at(-1) as number;
  const counted = rows.filter((row) => row.litres >= LEAST_SHARE_OF_FULL * full);
  return {
    rows,
    covariance,
    uShare: Math.max(...counted.map((row) => row.uLitres / row.litres)),
    leftOutL: leftOut(levels, litres),
  };
}

/** Standard uncertainty of the litres between two rows: what both have in common is gone. */
export function uBetween({ covariance }: StrappingResult, from: number, to: number): number {
  const at = (i: number, j: number): number => covariance[i]?.[j] ?? 0;
  return Math.sqrt(Math.max(0, at(from, from) + at(to, to) - 2 * at(from, to)));
}

function leftOut(levels: readonly number[], litres: readonly number[]): number[] {
  if (levels.length < 4) return [];
  const without = <T>(list: readonly T[], i: number): T[] => list.filter((_, j) => j !== i);
  return levels
    .slice(1, -1)
    .map(
      (level, k) =>
        (litres[k + 1] as number) - monotoneCubic(without(levels, k + 1), without(litres, k + 1)).at(level).value,
    );
}
