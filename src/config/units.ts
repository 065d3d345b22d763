/**
 * Units by their UCUM codes (the Unified Code for Units of Measure). Times, lengths and temperatures have exact factors
 * as fractions here, so that 1 in is 25.4 mm and 122 °F is 50 °C to the last bit; every other unit comes from a library.
 * The usual printed forms (°C, ″, µm, kΩ, m³) stand for their codes.
 */
import ucum from '@lhncbc/ucum-lhc';

/** Dimensions that the library knows, by the unit that each is kept in. */
const LIBRARY_INSIDE = {
  resistance: 'Ohm',
  voltage: 'V',
  current: 'mA',
  pressure: 'kPa',
  volume: 'L',
  mass: 'kg',
  density: 'kg/m3',
  'speed/temperature': 'm/s/K',
  '1/temperature': '/K',
  acceleration: 'm/s2',
  angle: 'deg',
  share: '1',
} as const;

export type Dimension =
  | 'time'
  | 'length'
  | 'temperature'
  | 'length/temperature'
  | 'length/time'
  | 'count'
  | keyof typeof LIBRARY_INSIDE;

/**
 * What a quantity is for; it decides the unit inside. A temperature is a point on the scale, a difference is not; a flight
 * is a time that is not rounded to whole microseconds.
 */
export type Kind =
  | 'time'
  | 'flight'
  | 'length'
  | 'temperature'
  | 'difference'
  | 'slope'
  | 'drift'
  | 'resistance'
  | 'voltage'
  | 'current'
  | 'pressure'
  | 'volume'
  | 'mass'
  | 'density'
  | 'speed'
  | 'speed-slope'
  | 'expansion'
  | 'acceleration'
  | 'angle'
  | 'share'
  | 'humidity'
  | 'count';

export interface Unit {
  /** UCUM, case-sensitive. */
  readonly code: string;
  readonly dimension: Dimension;
  /** One unit is num/den of the unit of its dimension: µs, mm, K, mm/K, mm/µs, Ohm, … */
  readonly num: number;
  readonly den: number;
  /** Where 0 °C lies on this scale; NaN for what is no temperature scale. */
  readonly zero: number;
}

interface Atom {
  readonly of: 'time' | 'length' | 'temperature' | 'count';
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
  '{count}': { of: 'count', num: 1, den: 1 },
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
  count: '{count}',
  counts: '{count}',
};

/** Printed forms inside of codes for the library. */
const PRINTED_PARTS: readonly (readonly [RegExp, string])[] = [
  [/[\u2126\u03a9]/g, 'Ohm'],
  [/²/g, '2'],
  [/³/g, '3'],
  [/[µμ]/g, 'u'],
  [/^°$/, 'deg'],
  [/^psi$/, '[psi]'],
];

/** How each kind is kept inside, and how it is spoken of. `units` are the printed forms to offer, the usual ones first. */
export const KINDS = {
  time: { noun: 'a time', sample: '500 ms', inside: 'µs', units: ['ms', 's', 'min', 'h', 'µs'] },
  length: { noun: 'a length', sample: '12 mm', inside: 'mm', units: ['mm', 'cm', 'm', 'µm', 'in', 'ft'] },
  temperature: { noun: 'a temperature', sample: '50 °C', inside: '°C', units: ['°C', '°F', 'K'] },
  difference: { noun: 'a temperature difference', sample: '0.3 K', inside: 'K', units: ['K', 'mK', '°C', '°F'] },
  slope: { noun: 'a length per kelvin', sample: '0.25 mm/K', inside: 'mm/K', units: ['mm/K', 'µm/K', 'in/°F'] },
  drift: { noun: 'a speed', sample: '2 mm/min', inside: 'mm/min', units: ['mm/min', 'mm/s', 'mm/h', 'in/min'] },
  flight: { noun: 'a time of flight', sample: '2 µs', inside: 'µs', units: ['µs', 'ms', 'ns'] },
  resistance: { noun: 'a resistance', sample: '100 Ohm', inside: 'Ohm', units: ['Ohm', 'kOhm', 'Ω', 'kΩ'] },
  voltage: { noun: 'a voltage', sample: '5 V', inside: 'V', units: ['V', 'mV', 'uV'] },
  current: { noun: 'a current', sample: '4 mA', inside: 'mA', units: ['mA', 'A', 'uA'] },
  pressure: {
    noun: 'a pressure',
    sample: '101.3 kPa',
    inside: 'kPa',
    units: ['kPa', 'bar', 'mbar', 'hPa', 'Pa', 'psi'],
  },
  volume: { noun: 'a volume', sample: '2.4 L', inside: 'L', units: ['L', 'mL', 'm³', '[qt_us]', '[gal_us]'] },
  mass: { noun: 'a mass', sample: '2.1 kg', inside: 'kg', units: ['kg', 'g', '[lb_av]'] },
  density: { noun: 'a density', sample: '870 kg/m³', inside: 'kg/m³', units: ['kg/m³', 'kg/m3', 'g/mL', 'kg/L'] },
  speed: { noun: 'a speed of sound', sample: '1440 m/s', inside: 'm/s', units: ['m/s', 'km/s'] },
  'speed-slope': { noun: 'a speed per kelvin', sample: '-3.5 m/s/K', inside: 'm/s/K', units: ['m/s/K'] },
  expansion: { noun: 'an expansion per kelvin', sample: '0.00007 /K', inside: '/K', units: ['/K', '[ppm]/K'] },
  acceleration: { noun: 'an acceleration', sample: '9.81 m/s²', inside: 'm/s²', units: ['m/s²', 'm/s2'] },
  angle: { noun: 'an angle', sample: '52.5 deg', inside: 'deg', units: ['deg', '°'] },
  share: { noun: 'a share', sample: '50 %', inside: '1', units: ['%', '[ppm]'] },
  humidity: { noun: 'a relative humidity', sample: '50 %', inside: '1', units: ['%'] },
  count: { noun: 'a count', sample: '20 counts', inside: 'counts', units: ['counts'] },
} as const satisfies Record<Kind, { noun: string; sample: string; inside: string; units: readonly string[] }>;

const DIMENSION_OF: Readonly<Record<Kind, Dimension>> = {
  time: 'time',
  length: 'length',
  temperature: 'temperature',
  difference: 'temperature',
  slope: 'length/temperature',
  drift: 'length/time',
  flight: 'time',
  resistance: 'resistance',
  voltage: 'voltage',
  current: 'current',
  pressure: 'pressure',
  volume: 'volume',
  mass: 'mass',
  density: 'density',
  speed: 'length/time',
  'speed-slope': 'speed/temperature',
  expansion: '1/temperature',
  acceleration: 'acceleration',
  angle: 'angle',
  share: 'share',
  humidity: 'share',
  count: 'count',
};

/** A drift is kept in mm/min, a speed of sound in m/s, their dimension in mm/µs. */
const MICROSECONDS_PER_MINUTE = 60_000_000;
const M_PER_S_PER_MM_PER_US = 1000;

/** The unit that a text names, or null. Case counts, as UCUM wants it: mm is no MM. */
export function parseUnit(text: string): Unit | null {
  return exactUnit(text) ?? libraryUnit(text);
}

/** From the library: rounded to 15 digits, since its factors carry the noise of their own arithmetic. */
function libraryUnit(text: string): Unit | null {
  const code = PRINTED_PARTS.reduce((plain, [from, to]) => plain.replace(from, to), text.replace(/\s*\/\s*/g, '/'));
  // The library says aloud what it cannot read, and has no Celsius in a compound; such codes do not get there.
  const parts = code.split('/');
  if (parts.length <= 2 && parts.every((part) => component(part) !== null)) return null;
  if (!/^[\w/.*[\]%-]{1,24}$/.test(code) || /Cel|deg[CF]/.test(code)) return null;
  const known = library.get(code);
  if (known !== undefined) return known;
  let unit: Unit | null;
  try {
    unit = lookUp(code);
  } catch {
    // It looks names up in plain objects: "constructor" is found there and is no unit.
    unit = null;
  }
  if (library.size < 500) library.set(code, unit);
  return unit;
}

const library = new Map<string, Unit | null>();

function lookUp(code: string): Unit | null {
  const utils = ucum.UcumLhcUtils.getInstance();
  if (utils.validateUnitString(code).status !== 'valid') return null;
  for (const [dimension, inside] of Object.entries(LIBRARY_INSIDE)) {
    const { status, toVal } = utils.convertUnitTo(code, 1, inside);
    if (status === 'succeeded' && toVal !== null)
      return {
        code,
        dimension: dimension as Dimension,
        num: Number(toVal.toPrecision(15)),
        den: 1,
        zero: Number.NaN,
      };
  }
  return null;
}

function exactUnit(text: string): Unit | null {
  const [above, below, ...more] = text.split('/').map((part) => part.trim());
  if (above === undefined || more.length > 0) return null;
  const top = component(above);
  if (top === null) return null;
  if (below === undefined) return { code: top.code, dimension: top.of, num: top.num, den: top.den, zero: top.zero };
  const bottom = component(below);
  if (bottom === null || top.of !== 'length' || bottom.of === 'length' || bottom.of === 'count') return null;
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
  const times = kind === 'drift' ? MICROSECONDS_PER_MINUTE : kind === 'speed' ? M_PER_S_PER_MM_PER_US : 1;
  const [num, den] = times === 1 ? [unit.num, unit.den] : reduced(unit.num * times, unit.den);
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
