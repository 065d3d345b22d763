/**
 * Units by their UCUM codes (the Unified Code for Units of Measure, tables 1 to 4 and "customary units"), with exact
 * factors as fractions so that 1 in is 25.4 mm and 122 °F is 50 °C to the last bit. The usual printed forms (°C, ″, µm)
 * stand for their codes. A library of units can take the place of `parseUnit` and `toInside`.
 */

export type Dimension = 'time' | 'length' | 'temperature' | 'length/temperature' | 'length/time';

/** What a quantity is for; it decides the unit inside. A temperature is a point on the scale, a difference is not. */
export type Kind = 'time' | 'length' | 'temperature' | 'difference' | 'slope' | 'drift';

export interface Unit {
  /** UCUM, case-sensitive. */
  readonly code: string;
  readonly dimension: Dimension;
  /** One unit is num/den of the unit of its dimension: µs, mm, K, mm/K, mm/µs. */
  readonly num: number;
  readonly den: number;
  /** Where 0 °C lies on this scale; NaN for what is no temperature scale. */
  readonly zero: number;
}

interface Atom {
  readonly of: 'time' | 'length' | 'temperature';
  readonly num: number;
  readonly den: number;
  readonly metric?: true;
  readonly zero?: number;
}

/** UCUM "[degF]" is 5/9 K with 0 °C at 32; "[in_i]" is 2.54 cm exactly; "[ft_i]" is 12 [in_i]. */
const ATOMS: Readonly<Record<string, Atom>> = {
  s: { of: 'time', num: 1_000_000, den: 1, metric: true },
  min: { of: 'time', num: 60_000_000, den: 1 },
  h: { of: 'time', num: 3_600_000_000, den: 1 },
  d: { of: 'time', num: 86_400_000_000, den: 1 },
  m: { of: 'length', num: 1000, den: 1, metric: true },
  '[in_i]': { of: 'length', num: 127, den: 5 },
  '[ft_i]': { of: 'length', num: 1524, den: 5 },
  K: { of: 'temperature', num: 1, den: 1, metric: true, zero: 273.15 },
  Cel: { of: 'temperature', num: 1, den: 1, zero: 0 },
  '[degF]': { of: 'temperature', num: 5, den: 9, zero: 32 },
};

const PREFIXES: Readonly<Record<string, readonly [number, number]>> = {
  k: [1000, 1],
  d: [1, 10],
  c: [1, 100],
  m: [1, 1000],
  u: [1, 1_000_000],
  n: [1, 1_000_000_000],
};

const PRINTED: Readonly<Record<string, string>> = {
  '°C': 'Cel',
  '°F': '[degF]',
  in: '[in_i]',
  '″': '[in_i]',
  '"': '[in_i]',
  ft: '[ft_i]',
  '′': '[ft_i]',
};

/** How each kind is kept inside, and how it is spoken of. `units` are the printed forms to offer, the usual ones first. */
export const KINDS = {
  time: { noun: 'a time', sample: '500 ms', inside: 'µs', units: ['ms', 's', 'min', 'h', 'µs'] },
  length: { noun: 'a length', sample: '12 mm', inside: 'mm', units: ['mm', 'cm', 'm', 'µm', 'in', 'ft'] },
  temperature: { noun: 'a temperature', sample: '50 °C', inside: '°C', units: ['°C', '°F', 'K'] },
  difference: { noun: 'a temperature difference', sample: '0.3 K', inside: 'K', units: ['K', 'mK', '°C', '°F'] },
  slope: { noun: 'a length per kelvin', sample: '0.25 mm/K', inside: 'mm/K', units: ['mm/K', 'µm/K', 'in/°F'] },
  drift: { noun: 'a speed', sample: '2 mm/min', inside: 'mm/min', units: ['mm/min', 'mm/s', 'mm/h', 'in/min'] },
} as const satisfies Record<Kind, { noun: string; sample: string; inside: string; units: readonly string[] }>;

const DIMENSION_OF: Readonly<Record<Kind, Dimension>> = {
  time: 'time',
  length: 'length',
  temperature: 'temperature',
  difference: 'temperature',
  slope: 'length/temperature',
  drift: 'length/time',
};

/** A drift is kept in mm/min, its dimension in mm/µs. */
const MICROSECONDS_PER_MINUTE = 60_000_000;

/** The unit that a text names, or null. Case counts, as UCUM wants it: mm is no MM. */
export function parseUnit(text: string): Unit | null {
  const [above, below, ...more] = text.split('/').map((part) => part.trim());
  if (above === undefined || more.length > 0) return null;
  const top = component(above);
  if (top === null) return null;
  if (below === undefined) return { code: top.code, dimension: top.of, num: top.num, den: top.den, zero: top.zero };
  const bottom = component(below);
  if (bottom === null || top.of !== 'length' || bottom.of === 'length') return null;
  const [num, den] = reduced(top.num * bottom.den, top.den * bottom.num);
  return { code: `${top.code}/${bottom.code}`, dimension: `length/${bottom.of}`, num, den, zero: Number.NaN };
}

/** True where a quantity of this kind may be written in this unit. */
export function unitFits(unit: Unit, kind: Kind): boolean {
  return unit.dimension === DIMENSION_OF[kind];
}

/** Converts to the unit inside: °C, K, mm, µs (integer), mm/K, mm/min. The unit must fit the kind. */
export function toInside(value: number, unit: Unit, kind: Kind): number {
  if (kind === 'temperature') return ((value - unit.zero) * unit.num) / unit.den;
  if (kind === 'time') return Math.round((value * unit.num) / unit.den);
  const [num, den] = kind === 'drift' ? reduced(unit.num * MICROSECONDS_PER_MINUTE, unit.den) : [unit.num, unit.den];
  return (value * num) / den;
}

/** inside = gain × value + offset, for a channel that gives lengths or temperatures in this unit. */
export function lawOfUnit(unit: Unit): { gain: number; zero: number } {
  return { gain: unit.num / unit.den, zero: unit.dimension === 'temperature' ? unit.zero : 0 };
}

function component(text: string): (Omit<Atom, 'zero'> & { code: string; zero: number }) | null {
  const plain = text.replaceAll('℃', '°C').replaceAll('℉', '°F').replace(/[º˚]/g, '°').replace(/^[µμ]/, 'u');
  const code = Object.hasOwn(PRINTED, plain) ? (PRINTED[plain] as string) : plain;
  const whole = own(ATOMS, code);
  if (whole !== undefined) return { ...whole, code, zero: whole.zero ?? Number.NaN };
  const prefix = own(PREFIXES, code.slice(0, 1));
  const atom = own(ATOMS, code.slice(1));
  if (prefix === undefined || atom?.metric !== true) return null;
  const [num, den] = reduced(atom.num * prefix[0], atom.den * prefix[1]);
  return { of: atom.of, num, den, code, zero: ((atom.zero ?? Number.NaN) * prefix[1]) / prefix[0] };
}

function own<T>(table: Readonly<Record<string, T>>, key: string): T | undefined {
  return Object.hasOwn(table, key) ? table[key] : undefined;
}

function reduced(num: number, den: number): readonly [number, number] {
  let [a, b] = [num, den];
  while (b !== 0) [a, b] = [b, a % b];
  return [num / a, den / a];
}
