/**
 * The bench file, key by key: what each means, which form it takes, what holds without it. The checks, the messages and
 * the reference in docs/bench-file.md all come from here.
 */
import { z } from 'zod';
import type { QuantityKind } from '../core/description.ts';
import { decimal, key, quantity, span, understood, unit, whole } from './fields.ts';
import { quote } from './mistake.ts';
import type { Understood } from './quantities.ts';
import type { Kind } from './units.ts';

const ID = /^[a-z][a-z0-9-]{0,39}$/;
export const ID_FORM = 'small letters, digits and hyphens, a letter first, at most 40';

/** A name of the bench's own for an instrument or a channel. `constructor` would be found in every JavaScript object. */
export function isId(text: string): boolean {
  return ID.test(text) && text !== 'constructor';
}

/** The proper name that is most like it. */
export function properId(text: string): string | null {
  const hyphened = text.toLowerCase().replace(/[^a-z0-9]+/g, '-');
  const id = hyphened.replace(/^[-0-9]+|-+$/g, '').slice(0, 40);
  return isId(id) ? id : null;
}

const CONTROL = /\p{Cc}/u;

function text(most: number): z.ZodType<string> {
  return z
    .string()
    .min(1)
    .max(most)
    .refine((value) => value.trim() !== '' && !CONTROL.test(value));
}

const path = text(1000);

const serialPath = understood(
  'the path of a port such as "/dev/serial/by-id/…" or "COM3"',
  (port): Understood<string> => {
    if (port.trim() !== '' && !CONTROL.test(port) && (/[\\/]/.test(port) || /^COM\d+$/i.test(port))) {
      return { ok: true, value: port };
    }
    const nearest = /^(?:tty|cu)[\w.-]+$/.test(port) ? `/dev/${port}` : null;
    return { ok: false, words: `${quote(port)} is no path of a port`, nearest };
  },
);

const tcpAddress = understood(
  'a host and a port such as "192.0.2.7:4001"',
  (address): Understood<{ host: string; port: number }> => {
    const parts = /^(?:tcp:\/\/)?(?:\[([\da-fA-F:.]+)\]|([\w.-]+)):(\d{1,5})$/.exec(address);
    const host = parts?.[1] ?? parts?.[2];
    const port = Number(parts?.[3]);
    if (host !== undefined && port >= 1 && port <= 65_535) return { ok: true, value: { host, port } };
    if (host !== undefined)
      return { ok: false, words: `${quote(address)} has a port outside 1 to 65535`, nearest: null };
    return { ok: false, words: `${quote(address)} is no host with a port`, nearest: null };
  },
);

export const linkSchema = z.strictObject({
  serial: key(serialPath.optional(), {
    meaning:
      'The serial port. A path under `/dev/serial/by-id` stays the same when other boards come and go; `stillwell ports` lists them.',
    form: 'the path of a port',
    example: '/dev/serial/by-id/usb-probe-0001',
    otherwise: 'needs `tcp`',
  }),
  baud: key(whole(50, 12_000_000, '9600 or 115200').optional(), {
    meaning: "The speed of the serial port, as set in the board's program.",
    form: 'a whole number such as 9600 or 115200',
    example: '115200',
    otherwise: 'required with `serial`',
  }),
  tcp: key(tcpAddress.optional(), {
    meaning: 'A network address that passes the bytes on, in place of a serial port.',
    form: 'a host and a port',
    example: '"192.0.2.7:4001"',
    otherwise: 'needs `serial`',
  }),
});

/** The keys of an instrument that do not belong to its driver. */
export const instrumentSchema = z.strictObject({
  driver: key(z.string(), {
    meaning: 'Who understands its bytes. The keys of the driver stand beside this one; docs/drivers.md lists them.',
    form: 'the name of a driver',
    example: 'pattern',
  }),
  link: key(linkSchema, {
    meaning: 'Where its bytes come from.',
    form: 'the keys of a link: serial and baud, or tcp',
    example: '{ serial: /dev/serial/by-id/usb-probe-0001, baud: 115200 }',
  }),
  every: key(quantity('time', { from: '1 ms', to: '1 h' }), {
    meaning: 'The expected time between two lines. After three of these without one, its channels are stale.',
    form: 'a time from 1 ms to 1 h',
    example: '500 ms',
  }),
});

const scaleSchema = z.strictObject({
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

/** Keys of a channel, by what it measures; null while its unit is not understood. */
function channelOf(of: QuantityKind | null) {
  const points: readonly Kind[] = of === null ? ['temperature', 'length'] : [of];
  const steps: readonly Kind[] =
    of === null ? ['difference', 'length'] : [of === 'temperature' ? 'difference' : 'length'];
  const zero = of === 'temperature' ? '0 K' : '0 mm';
  const [stepSample, spanSample] = of === 'length' ? ['0.1 mm', '5 mm to 200 mm'] : ['0.3 K', '-20 °C to 150 °C'];
  return z.strictObject({
    from: key(z.string().regex(/^[^.\s]+\.\S+$/), {
      meaning: 'The instrument and the name that its driver gives to the number.',
      form: 'an instrument and a signal with a point between, such as "probe.temp"',
      example: 'probe.temp',
    }),
    unit: key(unit(['temperature', 'length']), {
      meaning: 'The unit in which the number comes. It also says what is measured: a temperature or a length.',
      form: 'a unit of temperature or length',
      example: '°C',
    }),
    resolution: key(quantity(steps, of === null ? {} : { from: zero }, stepSample).prefault(zero), {
      meaning: 'The smallest step of the number.',
      form: 'a temperature difference or a length',
      example: '0.01 K',
    }),
    uncertainty: key(quantity(steps, of === null ? {} : { above: zero }, stepSample), {
      meaning:
        'The standard uncertainty of one value of this instrument. For limits ±a from a data sheet take a/√3. It must be stated: it goes into every reading.',
      form: 'a temperature difference or a length, above 0',
      example: '0.3 K',
    }),
    range: key(span(points, spanSample).optional(), {
      meaning: 'Values outside are set aside as bad.',
      form: 'two temperatures or lengths, the lower first',
      example: '-20 °C to 150 °C',
      otherwise: '-80 °C to 400 °C, or 0 mm to 20 m',
    }),
    every: key(quantity('time', { from: '1 ms', to: '1 h' }).optional(), {
      meaning: 'The expected time between two values, where it is longer than between two lines.',
      form: 'a time from 1 ms to 1 h',
      example: '1 s',
      otherwise: "the instrument's",
    }),
    scale: key(scaleSchema.prefault({}), {
      meaning: 'Straightens the raw number before its unit counts: gain × number + offset.',
      form: 'the keys gain and offset',
      example: '{ gain: 0.1, offset: 0 }',
    }),
  });
}

export const channelSchemas = {
  temperature: channelOf('temperature'),
  length: channelOf('length'),
  open: channelOf(null),
};

const compensationSchema = z.strictObject({
  slope: key(quantity('slope'), {
    meaning: 'How much the level rises for each kelvin at the same amount of fluid.',
    form: 'a length per kelvin',
    example: '0.25 mm/K',
  }),
  uncertainty: key(quantity('slope', { from: '0 mm/K' }), {
    meaning: 'The standard uncertainty of the slope.',
    form: 'a length per kelvin, not below 0',
    example: '0.03 mm/K',
  }),
});

const steadySchema = z.strictObject({
  over: key(quantity('time', { from: '100 ms', to: '1 h' }, '6 s'), {
    meaning: 'How long the level must have been calm.',
    form: 'a time from 100 ms to 1 h',
    example: '6 s',
  }),
  spread: key(quantity('length', { above: '0 mm' }, '1.2 mm'), {
    meaning: 'The largest value minus the smallest over that time, outliers set aside, may be no more than this.',
    form: 'a length above 0',
    example: '1.2 mm',
  }),
  drift: key(quantity('drift', { above: '0 mm/min' }), {
    meaning: 'The level may rise or fall no faster than this.',
    form: 'a speed above 0',
    example: '2 mm/min',
  }),
});

export const measureSchema = z.strictObject({
  level: key(z.string(), {
    meaning: 'The channel that is read.',
    form: 'the name of a channel of length',
    example: 'level',
  }),
  temperature: key(z.string(), {
    meaning: 'The channel of the temperature of the fluid.',
    form: 'the name of a channel of temperature',
    example: 'temperature',
  }),
  window: key(span('temperature', '46 °C to 54 °C'), {
    meaning: 'The temperatures of the fluid at which a reading counts.',
    form: 'two temperatures, the lower first',
    example: '46 °C to 54 °C',
  }),
  hysteresis: key(quantity('difference', { from: '0 K' }).prefault('0.3 K'), {
    meaning:
      'How far inside the window the temperature must come before a reading may be taken again once it was outside.',
    form: 'a temperature difference',
    example: '0.5 K',
  }),
  reference: key(quantity('temperature'), {
    meaning: 'The temperature for which the level is stated.',
    form: 'a temperature',
    example: '50 °C',
  }),
  compensation: key(compensationSchema, {
    meaning: 'Brings the level to the reference temperature: level − slope × (temperature − reference).',
    form: 'the keys slope and uncertainty',
    example: '{ slope: 0.25 mm/K, uncertainty: 0.03 mm/K }',
  }),
  steady: key(steadySchema, {
    meaning: 'When the level counts as calm.',
    form: 'the keys over, spread and drift',
    example: '{ over: 6 s, spread: 1.2 mm, drift: 2 mm/min }',
  }),
});

const pageSchema = z.strictObject({
  port: key(whole(0, 65_535, '8720'), {
    meaning: 'The port on which this computer serves the page; 0 takes any free one.',
    form: 'a whole number from 0 to 65535',
    example: '8720',
  }),
});

/** The whole file. Instruments and channels are looked into one by one, since their keys depend on driver and unit. */
export const fileSchema = z.strictObject({
  bench: key(text(80), {
    meaning: 'The name of the bench, as it stands on the page.',
    form: 'a name of at most 80 characters',
    example: 'North bay',
  }),
  instruments: key(z.record(z.string(), z.unknown()), {
    meaning: 'The devices that send, each under a name of your own.',
    form: `names of instruments (${ID_FORM}) with their keys`,
    example: '{ probe: … }',
  }),
  channels: key(z.record(z.string(), z.unknown()), {
    meaning: 'What is measured, each under a name of your own.',
    form: `names of channels (${ID_FORM}) with their keys`,
    example: '{ temperature: … }',
  }),
  measure: key(measureSchema, {
    meaning: 'What is to be read, and when it counts.',
    form: 'the keys of a measurement',
    example: '{ level: level, … }',
  }),
  journal: key(path.optional(), {
    meaning: 'The file of the record. A relative path begins at the folder of the bench file.',
    form: 'the path of a file',
    example: './north-bay.journal',
    otherwise: 'beside the bench file, with its name and `.journal`',
  }),
  page: key(pageSchema.optional(), {
    meaning: 'Where the page is served.',
    form: 'the key port',
    example: '{ port: 8720 }',
    otherwise: 'port 8720',
  }),
});

/** Sections of the reference, in the order of the file. */
export const SECTIONS = [
  { title: 'The file', at: '', schema: fileSchema },
  { title: 'An instrument', at: 'instruments.<name>', schema: instrumentSchema },
  { title: 'Its link', at: 'instruments.<name>.link', schema: linkSchema },
  { title: 'A channel', at: 'channels.<name>', schema: channelSchemas.temperature },
  { title: 'The scale of a channel', at: 'channels.<name>.scale', schema: scaleSchema },
  { title: 'The measurement', at: 'measure', schema: measureSchema },
  { title: 'Compensation', at: 'measure.compensation', schema: compensationSchema },
  { title: 'Calm', at: 'measure.steady', schema: steadySchema },
  { title: 'The page', at: 'page', schema: pageSchema },
] as const;
