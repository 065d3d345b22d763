/** The keys of a channel's law as one description in the core: which laws, in which order, behind which scale. */
import type { QuantityKind } from '../core/description.ts';
import type { LawDescription } from '../core/laws/law-of.ts';
import { rtdTolerance } from '../core/laws/rtd-tolerance.ts';
import type { Measured } from './fields.ts';
import { type LawSetting, type ResolvedLaw, resolvePart } from './law-parts.ts';
import type { LawKeys, LawName } from './law-schema.ts';
import type { Span } from './quantities.ts';
import type { Kind, Unit } from './units.ts';

const ORDER = [
  'current-loop',
  'two-point',
  'ratiometric',
  'divider',
  'board-millimetres',
  'table',
  'platinum-rtd',
  'ntc',
  'thermocouple',
  'echo-from-below',
  'echo-from-above',
  'hydrostatic',
  'flow-pulses',
  'mass',
] as const satisfies readonly LawName[];

/** The laws that stand there, in the order of the signal; the board's own millimetres belong to the echo after them. */
export function lawNames(keys: Partial<LawKeys>): LawName[] {
  return ORDER.filter((name) => keys[name] !== undefined);
}

/** What the number of the board must be, as the first law takes it. */
export function signalKind(keys: Partial<LawKeys>): Kind | null {
  const [first] = lawNames(keys);
  switch (first) {
    case 'current-loop':
      return 'current';
    case 'two-point':
      return keys['two-point']?.points[0]?.[0].kind ?? null;
    case 'table':
      return keys.table?.points[0]?.[0].kind ?? null;
    case 'ratiometric':
    case 'thermocouple':
      return 'voltage';
    case 'divider':
    case 'flow-pulses':
      return 'count';
    case 'board-millimetres':
      return 'length';
    case 'platinum-rtd':
    case 'ntc':
      return 'resistance';
    case 'echo-from-below':
    case 'echo-from-above':
      return 'flight';
    case 'hydrostatic':
      return 'pressure';
    case 'mass':
      return 'mass';
    default:
      return null;
  }
}

/** What the last law gives; null where it is no quantity that a channel can have. */
export function givenQuantity(keys: Partial<LawKeys>): QuantityKind | null {
  const last = lawNames(keys).at(-1);
  switch (last) {
    case 'platinum-rtd':
    case 'ntc':
    case 'thermocouple':
      return 'temperature';
    case 'echo-from-below':
    case 'echo-from-above':
    case 'hydrostatic':
    case 'board-millimetres':
      return 'length';
    case 'flow-pulses':
    case 'mass':
      return 'volume';
    case 'current-loop':
      return quantityOf(keys['current-loop']?.['at-4-mA']);
    case 'two-point':
    case 'ratiometric':
    case 'table':
      return quantityOf(keys[last]?.points[0]?.[1]);
    case 'divider':
    case undefined:
      return null;
  }
}

function quantityOf(given: Measured | undefined): QuantityKind | null {
  switch (given?.kind) {
    case 'length':
    case 'temperature':
    case 'pressure':
    case 'voltage':
    case 'volume':
      return given.kind;
    case 'share':
      return 'humidity';
    default:
      return null;
  }
}

/** Throws a RangeError where the keys cannot hold together. */
export function resolveLaw(keys: LawKeys, setting: LawSetting): ResolvedLaw {
  const names = lawNames(keys).filter((name) => name !== 'board-millimetres');
  const parts = names.map((name) => resolvePart(name, keys, setting));
  const [first, ...rest] = parts.map(({ description }) => overBoard(description, keys));
  if (first === undefined) throw new RangeError('the millimetres of a board need the law of an echo beside them');
  return {
    description: rest.reduce((before, after) => ({ kind: 'chain', first: before, second: after }), first),
    context: Object.assign({}, ...parts.map(({ context }) => context)),
  };
}

/** Beyond any number that a board sends. */
export const ANY_NUMBER = { low: -1e12, high: 1e12 } as const;

/** `scale` and unit of the board's number, folded into one straight line before the law where they do anything. */
export function behindScale(
  law: LawDescription,
  signalUnit: string,
  scale: { readonly gain: number; readonly offset: number },
  unit: Unit,
): LawDescription {
  // The unit inside of a voltage is V, of a thermocouple's signal mV.
  const times = (unit.num / unit.den) * (signalUnit === 'mV' ? 1000 : 1);
  const gain = scale.gain * times;
  const offset = scale.offset * times;
  if (gain === 1 && offset === 0) return law;
  const first: LawDescription = {
    kind: 'linear',
    gain,
    offset,
    signalUnit: unit.code,
    unit: signalUnit,
    validSignal: ANY_NUMBER,
  };
  return { kind: 'chain', first, second: law };
}

/** Standard uncertainty that the class of a platinum thermometer allows within a range; null without a class. */
export function classUncertainty(keys: Partial<LawKeys>, { low, high }: Span): number | null {
  const { class: rtdClass, build = 'film' } = keys['platinum-rtd'] ?? {};
  if (rtdClass === undefined) return null;
  const ends = [low, high].map((tC) => rtdTolerance(rtdClass, build, tC));
  if (ends.some(({ inRange }) => !inRange))
    throw new RangeError(
      `class ${rtdClass} (${build}) makes no promise over the whole range of the channel, ${low} °C to ${high} °C`,
    );
  return Math.max(...ends.map(({ halfWidthK }) => halfWidthK)) / Math.sqrt(3);
}

function overBoard(description: LawDescription, keys: LawKeys): LawDescription {
  const board = keys['board-millimetres'];
  if (board === undefined) return description;
  if (description.kind !== 'echo-from-below' && description.kind !== 'echo-from-above')
    throw new RangeError('beside the millimetres of a board only the law of an echo can stand');
  return { kind: 'board-millimetres', assumedMPerS: board.assumed, offsetMm: board.offset, echo: description };
}
