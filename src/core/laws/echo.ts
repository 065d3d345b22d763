/**
 * Level from the time that a pulse of sound takes to the surface and back.
 *   through the fluid, from below   level = face + c (t − t₀)/2
 *   through the air, from above     level = mount − c_air (t − t₀)/2
 * t₀ is the delay that belongs to the instrument: electronics, and the wall that the pulse passes on both ways.
 */
import { type ContextName, checkedRange, type Law, lawFrom, type Range } from './law.ts';
import { DRY_RULE_RANGE_C, HUMID_AIR_RANGES, speedInDryAir, speedInHumidAir } from './sound-in-air.ts';

/** µs → mm, needs the speed of sound in the fluid. */
export interface EchoFromBelowDescription {
  readonly kind: 'echo-from-below';
  /** Height of the transducer's face above the zero of the level. */
  readonly faceMm: number;
  readonly deadTimeUs: number;
  /** Levels that can be seen: above the blind zone, below the brim. */
  readonly validMm: Range;
}

/** µs → mm, needs the air along the way. */
export interface EchoFromAboveDescription {
  readonly kind: 'echo-from-above';
  /** Height of the transducer's face above the zero of the level. */
  readonly mountMm: number;
  readonly deadTimeUs: number;
  readonly validMm: Range;
  readonly air: AirModel;
}

export type AirModel =
  /** Mole fraction of carbon dioxide; 0.0004 is outdoor air. */
  { readonly kind: 'humid'; readonly carbonDioxide: number } | { readonly kind: 'dry-rule' };

/** Liquids that fill vehicles and machines lie well inside. */
const FLUID_SOUND_M_PER_S: Range = { low: 500, high: 2500 };
const MM_PER_US_PER_M_PER_S = 1e-3;

export function echoFromBelow({ faceMm, deadTimeUs, validMm }: EchoFromBelowDescription): Law {
  checkedRange('the levels that the echo can see', validMm);
  checkedRange('the transducer face and the highest level', { low: faceMm, high: validMm.high });
  return lawFrom({
    signalUnit: 'us',
    unit: 'mm',
    source: 'time of flight, there and back',
    context: { soundMPerS: FLUID_SOUND_M_PER_S },
    validSignal: ({ soundMPerS }) => ({
      low: timeUs(validMm.low - faceMm, soundMPerS, deadTimeUs),
      high: timeUs(validMm.high - faceMm, soundMPerS, deadTimeUs),
    }),
    at(us, { soundMPerS }) {
      const way = distance(us - deadTimeUs, soundMPerS);
      return { value: faceMm + way.mm, derivative: way.perUs, partials: { soundMPerS: way.perMPerS } };
    },
  });
}

export function echoFromAbove({ mountMm, deadTimeUs, validMm, air }: EchoFromAboveDescription): Law {
  checkedRange('the levels that the echo can see', validMm);
  checkedRange('the highest level and the mount above it', { low: validMm.high, high: mountMm });
  if (air.kind === 'humid' && !(air.carbonDioxide >= 0 && air.carbonDioxide <= 0.01))
    throw new RangeError(`carbon dioxide must be a mole fraction from 0 to 0.01, not ${air.carbonDioxide}`);
  return air.kind === 'humid'
    ? echoThrough(mountMm, deadTimeUs, validMm, {
        source: 'time of flight, there and back; Cramer (1993) for humid air',
        ranges: HUMID_AIR_RANGES,
        speed({ airC, relativeHumidity, airPressureKPa }) {
          const sound = speedInHumidAir(airC, relativeHumidity, airPressureKPa, air.carbonDioxide);
          return {
            mPerS: sound.mPerS,
            per: {
              airC: sound.perAirC,
              relativeHumidity: sound.perRelativeHumidity,
              airPressureKPa: sound.perAirPressureKPa,
            },
          };
        },
      })
    : echoThrough(mountMm, deadTimeUs, validMm, {
        source: 'time of flight, there and back; ISO 9613-1:1993 for air',
        ranges: { airC: DRY_RULE_RANGE_C },
        speed({ airC }) {
          const sound = speedInDryAir(airC);
          return { mPerS: sound.mPerS, per: { airC: sound.perAirC } };
        },
      });
}

interface Air<Need extends ContextName> {
  readonly source: string;
  readonly ranges: Readonly<Record<Need, Range>>;
  readonly speed: (context: Readonly<Record<Need, number>>) => {
    readonly mPerS: number;
    readonly per: Readonly<Record<Need, number>>;
  };
}

function echoThrough<Need extends ContextName>(
  mountMm: number,
  deadTimeUs: number,
  validMm: Range,
  air: Air<Need>,
): Law {
  return lawFrom<Need>({
    signalUnit: 'us',
    unit: 'mm',
    source: air.source,
    context: air.ranges,
    validSignal(context) {
      const { mPerS } = air.speed(context);
      return {
        low: timeUs(mountMm - validMm.high, mPerS, deadTimeUs),
        high: timeUs(mountMm - validMm.low, mPerS, deadTimeUs),
      };
    },
    at(us, context) {
      const { mPerS, per } = air.speed(context);
      const way = distance(us - deadTimeUs, mPerS);
      const partials = Object.entries<number>(per).map(([name, perName]) => [name, -way.perMPerS * perName]);
      return {
        value: mountMm - way.mm,
        derivative: -way.perUs,
        partials: Object.fromEntries(partials) as Record<Need, number>,
      };
    },
  });
}

/** Half the way that sound goes in `us`. */
function distance(us: number, mPerS: number) {
  const perMPerS = (MM_PER_US_PER_M_PER_S * us) / 2;
  return { mm: perMPerS * mPerS, perUs: (MM_PER_US_PER_M_PER_S * mPerS) / 2, perMPerS };
}

/** When the echo over `mm` comes back. */
function timeUs(mm: number, mPerS: number, deadTimeUs: number): number {
  return deadTimeUs + (2 * mm) / (MM_PER_US_PER_M_PER_S * mPerS);
}
