/** A channel of the bench file, key by key; some keys depend on what it measures and on what its law takes. */
import { z } from 'zod';
import type { QuantityKind } from '../core/description.ts';
import { decimal, key, quantity, span, unit } from './fields.ts';
import { lawSchema } from './law-schema.ts';
import type { Kind } from './units.ts';

export const scaleSchema = z.strictObject({
  gain: key(decimal('a number other than 0', (value) => value !== 0).prefault(1), {
    meaning: 'What the raw number is multiplied by.',
    form: 'a number other than 0',
    example: '0.1',
  }),
  offset: key(decimal('a number such as -4.5', () => true).prefault(0), {
    meaning: 'What is added then.',
    form: 'a number',
    example: '-4.5',
  }),
});

export const echoSchema = z.strictObject({
  strength: key(z.string().optional(), {
    meaning: 'The instrument and the name of the number that tells the strength of the echo.',
    form: 'an instrument and a signal with a point between, such as "sonar.q"',
    example: 'sonar.q',
    otherwise: 'the board does not tell',
  }),
  least: key(decimal('a number such as 40', (value) => value >= 0).prefault(0), {
    meaning: 'Below this strength a value is doubtful; at 0 the echo is lost.',
    form: 'a number, not below 0',
    example: '40',
  }),
  nearest: key(decimal('a number such as 8', () => true).prefault(0), {
    meaning: 'At or below this raw number the sensor hears itself ring.',
    form: 'a number',
    example: '8',
  }),
});

/** How each quantity is written, as a value and as a step of it. */
export const WRITTEN: Readonly<
  Record<QuantityKind, { value: Kind; step: Kind; zero: string; stepSample: string; spanSample: string }>
> = {
  temperature: {
    value: 'temperature',
    step: 'difference',
    zero: '0 K',
    stepSample: '0.3 K',
    spanSample: '-20 °C to 150 °C',
  },
  length: { value: 'length', step: 'length', zero: '0 mm', stepSample: '0.1 mm', spanSample: '5 mm to 200 mm' },
  pressure: {
    value: 'pressure',
    step: 'pressure',
    zero: '0 kPa',
    stepSample: '0.1 kPa',
    spanSample: '80 kPa to 110 kPa',
  },
  voltage: { value: 'voltage', step: 'voltage', zero: '0 V', stepSample: '0.01 V', spanSample: '4 V to 6 V' },
  humidity: { value: 'humidity', step: 'humidity', zero: '0 %', stepSample: '3 %', spanSample: '0 % to 100 %' },
  volume: { value: 'volume', step: 'volume', zero: '0 L', stepSample: '0.01 L', spanSample: '0 L to 20 L' },
};
const QUANTITIES = Object.keys(WRITTEN) as QuantityKind[];

/** The kinds of unit that say by themselves what a channel measures. */
export const VALUE_KINDS: readonly Kind[] = QUANTITIES.map((each) => WRITTEN[each].value);
/** All kinds that a number of a board may be of: with a law it need be no quantity yet. */
const NUMBER_KINDS: readonly Kind[] = [...VALUE_KINDS, 'flight', 'resistance', 'current', 'count', 'mass'];

/** What a unit alone measures; null where only a law makes a quantity of it. */
export function quantityOfKind(kind: Kind): QuantityKind | null {
  return QUANTITIES.find((each) => WRITTEN[each].value === kind) ?? null;
}

const made = new Map<string, ReturnType<typeof channelOf>>();

/**
 * Keys of a channel, by what it measures (null while that is not understood) and by the kind of number that its law takes:
 * `value` without a law, null for a law that is not understood.
 */
export function channelSchema(of: QuantityKind | null, takes: Kind | 'value' | null) {
  const name = `${of} ${takes}`;
  const known = made.get(name) ?? channelOf(of, takes);
  made.set(name, known);
  return known;
}

function channelOf(of: QuantityKind | null, takes: Kind | 'value' | null) {
  const numbers = takes === 'value' ? VALUE_KINDS : takes === null ? NUMBER_KINDS : [takes];
  const points: readonly Kind[] = of === null ? VALUE_KINDS : [WRITTEN[of].value];
  const steps: readonly Kind[] = of === null ? QUANTITIES.map((each) => WRITTEN[each].step) : [WRITTEN[of].step];
  const { zero, stepSample, spanSample } = WRITTEN[of ?? 'temperature'];
  return z.strictObject({
    from: key(
      z
        .string()
        .regex(/^[^.\s]+\.\S+$/)
        .optional(),
      {
        meaning: 'The instrument and the name that its driver gives to the number.',
        form: 'an instrument and a signal with a point between, such as "probe.temp"',
        example: 'probe.temp',
        otherwise: 'required, but for a typed channel',
      },
    ),
    typed: key(z.literal(true).optional(), {
      meaning: 'The value is read by a person from another display and typed on the page.',
      form: 'true',
      example: 'true',
      otherwise: 'the value comes from an instrument',
    }),
    unit: key(unit(numbers), {
      meaning:
        'The unit in which the number comes. Without a `law` it also says what is measured: a temperature, a length, a pressure, a voltage, a humidity or a volume.',
      form: 'a unit of temperature or length, or of what the law takes',
      example: '°C',
    }),
    law: key(lawSchema.optional(), {
      meaning: 'How the number becomes a quantity, where it is none yet. Laws may stand one behind the other.',
      form: 'the keys of a law',
      example: '{ platinum-rtd: { r0: 100 Ohm } }',
      otherwise: 'the number is the quantity, in its unit',
    }),
    resolution: key(quantity(steps, of === null ? {} : { from: zero }, stepSample).prefault(zero), {
      meaning: 'The smallest step of the value.',
      form: 'a temperature difference or a length',
      example: '0.01 K',
    }),
    uncertainty: key(quantity(steps, of === null ? {} : { above: zero }, stepSample).optional(), {
      meaning:
        'The standard uncertainty of one value of this instrument. For limits ±a from a data sheet take a/√3. It must be stated: it goes into every reading.',
      form: 'a temperature difference or a length, above 0',
      example: '0.3 K',
      otherwise: 'required, but for a platinum thermometer with a class',
    }),
    range: key(span(points, spanSample).optional(), {
      meaning: 'Values outside are set aside as bad. For an echo or a pressure these are the levels that can be seen.',
      form: 'two temperatures or lengths, the lower first',
      example: '-20 °C to 150 °C',
      otherwise: '-80 °C to 400 °C, 0 mm to 20 m, 0 kPa to 1000 kPa, 0 V to 100 V, 0 % to 100 %, 0 L to 1000 L',
    }),
    every: key(quantity('time', { from: '1 ms', to: '1 h' }).optional(), {
      meaning: 'The expected time between two values, where it is longer than between two lines.',
      form: 'a time from 1 ms to 1 h',
      example: '1 s',
      otherwise: "the instrument's",
    }),
    valid: key(quantity('time', { from: '10 s', to: '1 h' }, '2 min').optional(), {
      meaning: 'With `typed`: how long a typed value counts.',
      form: 'a time from 10 s to 1 h',
      example: '2 min',
      otherwise: 'required with `typed`',
    }),
    scale: key(scaleSchema.prefault({}), {
      meaning: 'Straightens the raw number before its unit counts: gain × number + offset.',
      form: 'the keys gain and offset',
      example: '{ gain: 0.1, offset: 0 }',
    }),
    sentinels: key(z.array(decimal('a number such as -127', () => true)).optional(), {
      meaning:
        'Raw numbers that the board sends in place of a fault: doubted when jumped to, accepted when approached.',
      form: 'a list of numbers',
      example: '[85, -127]',
      otherwise:
        '85, -127, -0.0625, 999.9, 32768, -32768, 65535 for a temperature, 999.9, 65535, 32768, -32768 for a length, none with a law',
    }),
    echo: key(echoSchema.optional(), {
      meaning: 'For echo sensors: what betrays a false echo.',
      form: 'the keys strength, least and nearest',
      example: '{ strength: sonar.q, least: 40, nearest: 8 }',
      otherwise: 'not looked for',
    }),
  });
}
