/** One law of a channel, from its keys to its description in the core. */
import type { ContextSource } from '../core/description.ts';
import { geopotential, standardPressure } from '../core/fluids/standard-atmosphere.ts';
import { GRAVITY_U_M_PER_S2, localGravity, STANDARD_GRAVITY_M_PER_S2 } from '../core/laws/gravity.ts';
import type { ContextName } from '../core/laws/law.ts';
import type { LawDescription } from '../core/laws/law-of.ts';
import type { ScalePoint } from '../core/laws/two-point.ts';
import type { Measured } from './fields.ts';
import type { LawKeys, LawName } from './law-schema.ts';
import type { Span } from './quantities.ts';
import type { Kind } from './units.ts';

/** What a law is made of besides its own keys. */
export interface LawSetting {
  /** Values of the channel that count. */
  readonly range: Span;
  /** The temperature of the measurement. */
  readonly temperatureChannel: string;
}

export interface ResolvedLaw {
  readonly description: LawDescription;
  readonly context: Readonly<Partial<Record<ContextName, ContextSource>>>;
}

/** UCUM codes of what scales speak in; the codes that the laws of the core use. */
const CODES: Readonly<Partial<Record<Kind, string>>> = {
  length: 'mm',
  temperature: 'Cel',
  pressure: 'kPa',
  volume: 'L',
  share: '1',
  resistance: 'Ohm',
  voltage: 'V',
  current: 'mA',
  count: '{count}',
  flight: 'us',
};

const OUTDOOR_CARBON_DIOXIDE = 0.0004;
/** Standard uncertainty of a stated barometer reading: it hardly moves the speed of sound. */
const U_BAROMETER_KPA = 0.1;
/** 9.780 to 9.832 m/s² from equator to pole: half of it, rectangular. */
const U_GLOBE_M_PER_S2 = 0.026 / Math.sqrt(3);

/** Throws a RangeError where the keys cannot hold together. */
export function resolvePart(name: LawName, keys: LawKeys, setting: LawSetting): ResolvedLaw {
  const alone = (description: LawDescription): ResolvedLaw => ({ description, context: {} });
  const validMm = setting.range;
  switch (name) {
    case 'current-loop': {
      const { 'at-4-mA': at4, 'at-20-mA': at20 } = need(keys[name]);
      const unit = sameCode([at4, at20]);
      return alone({ kind: 'current-loop', at4: at4.value, at20: at20.value, unit });
    }
    case 'two-point': {
      const { points, valid } = need(keys[name]);
      const counted = valid ?? points.map(([signal]) => signal);
      const ends = counted.map(({ value }) => value);
      return alone({
        kind: 'two-point',
        points: pair(points),
        signalUnit: sameCode([...points.map(([signal]) => signal), ...counted]),
        unit: sameCode(points.map(([, value]) => value)),
        validSignal: { low: Math.min(...ends), high: Math.max(...ends) },
      });
    }
    case 'ratiometric': {
      const law = need(keys[name]);
      return {
        description: {
          kind: 'ratiometric',
          points: pair(law.points),
          unit: sameCode(law.points.map(([, value]) => value)),
          validRatio: law.valid,
          validSupplyV: law['supply-range'],
        },
        context: { supplyV: source(law.supply, law['supply-uncertainty']) },
      };
    }
    case 'divider': {
      const law = need(keys[name]);
      return alone({
        kind: 'divider',
        fixedOhm: law.fixed,
        fullScaleCounts: law['full-scale'],
        sensorTo: law['sensor-to'],
        guardCounts: law.guard,
      });
    }
    case 'table': {
      const { points } = need(keys[name]);
      return alone({
        kind: 'table',
        points: points.map(scalePoint),
        signalUnit: sameCode(points.map(([signal]) => signal)),
        unit: sameCode(points.map(([, value]) => value)),
      });
    }
    case 'platinum-rtd':
      return alone({ kind: 'platinum-rtd', r0Ohm: need(keys[name]).r0 });
    case 'ntc':
      return alone(ntcOf(need(keys[name])));
    case 'thermocouple': {
      const law = need(keys[name]);
      return {
        description: { kind: 'thermocouple', type: law.type },
        context: { coldJunctionC: source(law['cold-junction'], law['cold-junction-uncertainty']) },
      };
    }
    case 'echo-from-below': {
      const law = need(keys[name]);
      return {
        description: { kind: 'echo-from-below', faceMm: law.face, deadTimeUs: law['dead-time'], validMm },
        context: {
          soundMPerS: fluidSource('sound', law.sound, law['sound-uncertainty'], law.temperature, setting),
        },
      };
    }
    case 'echo-from-above': {
      const law = need(keys[name]);
      const humid = law.humidity !== undefined;
      const air = source(law.air, law['air-uncertainty']);
      return {
        description: {
          kind: 'echo-from-above',
          mountMm: law.mount,
          deadTimeUs: law['dead-time'],
          validMm,
          air: humid ? { kind: 'humid', carbonDioxide: OUTDOOR_CARBON_DIOXIDE } : { kind: 'dry-rule' },
        },
        context: humid
          ? {
              airC: air,
              relativeHumidity: source(law.humidity as number | string, law['humidity-uncertainty']),
              airPressureKPa: airPressure(law.pressure, law.altitude),
            }
          : { airC: air },
      };
    }
    case 'hydrostatic': {
      const law = need(keys[name]);
      return {
        description: {
          kind: 'hydrostatic',
          sensorMm: law.sensor,
          airDensityKgPerM3: law['air-density'],
          validMm,
        },
        context: {
          densityKgPerM3: fluidSource('density', law.density, law['density-uncertainty'], law.temperature, setting),
          gravityMPerS2: gravityOf(law.gravity, law.latitude, law.altitude),
        },
      };
    }
    case 'flow-pulses':
      return alone({
        kind: 'flow-pulses',
        pulsesPerLitre: need(keys[name])['per-litre'],
        maxLitres: setting.range.high,
      });
    case 'mass': {
      const law = need(keys[name]);
      return {
        description: { kind: 'mass', airDensityKgPerM3: law['air-density'], maxLitres: setting.range.high },
        context: {
          densityKgPerM3: fluidSource('density', law.density, law['density-uncertainty'], law.temperature, setting),
        },
      };
    }
    case 'board-millimetres':
      throw new RangeError('the millimetres of a board need the law of an echo beside them');
  }
}

function ntcOf(law: NonNullable<LawKeys['ntc']>): LawDescription {
  const { valid: validC, points, coefficients, beta, r0, at } = law;
  if ([points, coefficients, beta].filter((one) => one !== undefined).length !== 1)
    throw new RangeError('a thermistor has either points, or coefficients, or beta');
  if (points !== undefined) {
    const [one, two, three] = points.map(([tC, ohm]) => ({ tC, ohm }));
    if (one === undefined || two === undefined || three === undefined) throw new RangeError('three points are needed');
    return { kind: 'ntc', curve: { form: 'three-points', points: [one, two, three] }, validC };
  }
  if (coefficients !== undefined) {
    const [a = Number.NaN, b = Number.NaN, c = Number.NaN] = coefficients;
    return { kind: 'ntc', curve: { form: 'steinhart-hart', a, b, c }, validC };
  }
  if (r0 === undefined) throw new RangeError('beta needs r0, the resistance at 25 °C or at the temperature in "at"');
  return { kind: 'ntc', curve: { form: 'beta', r0Ohm: r0, t0C: at, betaK: beta as number }, validC };
}

function source(stated: number | string, u: number): ContextSource {
  return typeof stated === 'string' ? { kind: 'channel', channel: stated } : { kind: 'constant', value: stated, u };
}

function fluidSource(
  property: 'sound' | 'density',
  stated: number | 'fluid',
  u: number,
  temperature: string | undefined,
  { temperatureChannel }: LawSetting,
): ContextSource {
  if (stated !== 'fluid') return { kind: 'constant', value: stated, u };
  return { kind: 'fluid', property, temperatureChannel: temperature ?? temperatureChannel };
}

function airPressure(stated: number | string | undefined, altitudeMm: number): ContextSource {
  if (stated !== undefined) return source(stated, U_BAROMETER_KPA);
  const { value, u, inRange } = standardPressure(geopotential(altitudeMm / 1000));
  if (!inRange) throw new RangeError('the altitude must lie from -2000 m to 11000 m');
  return { kind: 'constant', value, u };
}

function gravityOf(stated: number | undefined, latitude: number | undefined, altitudeMm: number): ContextSource {
  if (stated !== undefined) return { kind: 'constant', value: stated, u: GRAVITY_U_M_PER_S2 };
  if (latitude === undefined) return { kind: 'constant', value: STANDARD_GRAVITY_M_PER_S2, u: U_GLOBE_M_PER_S2 };
  const { mPerS2, inRange } = localGravity(latitude, altitudeMm / 1000);
  if (!inRange) throw new RangeError('latitude must lie from -90 deg to 90 deg, altitude from -500 m to 9000 m');
  return { kind: 'constant', value: mPerS2, u: GRAVITY_U_M_PER_S2 };
}

type Point = readonly [Measured, Measured];

function scalePoint([signal, value]: Point): ScalePoint {
  return { signal: signal.value, value: value.value };
}

function pair(points: readonly Point[]): readonly [ScalePoint, ScalePoint] {
  const [first, second, ...more] = points.map(scalePoint);
  if (first === undefined || second === undefined || more.length > 0)
    throw new RangeError('a straight scale has two points; several make a table');
  return [first, second];
}

function sameCode(all: readonly Measured[]): string {
  const [first] = all;
  if (first === undefined || all.some(({ kind }) => kind !== first.kind))
    throw new RangeError('the points must all be of the same kinds of quantity');
  return CODES[first.kind] ?? first.kind;
}

function need<T>(value: T | undefined): T {
  if (value === undefined) throw new TypeError('a law that is not there was asked for');
  return value;
}
