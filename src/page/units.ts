/**
 * Units as the shop likes them, for display only: what the feed says stays °C, mm and L. Exact factors: 1 in = 25.4 mm,
 * 1 °F = 5/9 K, 1 US liquid quart = 0.946352946 L (NIST SP 811, appendix B).
 */
export interface Liked {
  readonly temperature: 'C' | 'F';
  readonly length: 'mm' | 'in';
  readonly volume: 'L' | 'qt';
}

export const METRIC: Liked = { temperature: 'C', length: 'mm', volume: 'L' };

/** `shown = value × factor + offset`, with the sign to stand behind it. */
export interface Shown {
  readonly factor: number;
  readonly offset: number;
  readonly sign: string;
}

const SIGNS: Readonly<Record<string, string>> = { Cel: '°C', 'Cel/min': 'K/min', '1': '' };
const F_PER_K = 9 / 5;
const MM_PER_IN = 25.4;
const L_PER_QT = 0.946352946;

let liked: Liked = METRIC;

export function like(units: Liked): void {
  liked = units;
}

/** How a value in a UCUM unit is shown. Units without a rule are shown as they are. */
export function shownIn(ucum: string): Shown {
  if (ucum === 'Cel' && liked.temperature === 'F') return { factor: F_PER_K, offset: 32, sign: '°F' };
  const parts = ucum.split('/');
  const converted = parts.map(partOf);
  if (converted.every((part) => part === null)) return { factor: 1, offset: 0, sign: SIGNS[ucum] ?? ucum };
  const factor = converted.reduce((f, part, i) => (i === 0 ? f * (part?.factor ?? 1) : f / (part?.factor ?? 1)), 1);
  const sign = converted.map((part, i) => part?.sign ?? parts[i]).join('/');
  return { factor, offset: 0, sign };
}

/** One part of a unit; a temperature here is a difference. */
function partOf(unit: string | undefined): { factor: number; sign: string } | null {
  if ((unit === 'K' || unit === 'Cel') && liked.temperature === 'F') return { factor: F_PER_K, sign: '°F' };
  if (unit === 'mm' && liked.length === 'in') return { factor: 1 / MM_PER_IN, sign: 'in' };
  if (unit === 'L' && liked.volume === 'qt') return { factor: 1 / L_PER_QT, sign: 'qt' };
  return null;
}

export function convert(value: number, ucum: string): number {
  const { factor, offset } = shownIn(ucum);
  return factor === 1 && offset === 0 ? value : value * factor + offset;
}

/** A difference or an uncertainty in this unit: no zero point of a scale counts. */
export function convertSize(size: number, ucum: string): number {
  return size * shownIn(ucum).factor;
}
