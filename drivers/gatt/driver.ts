import { NUMBER_TYPES, numberAt, WIDTHS } from '../../src/kit/binary.ts';
import { z } from '../../src/kit/driver.ts';
import { signalMap } from '../../src/kit/line-options.ts';
import { type Reading, textDriver } from '../../src/kit/text-driver.ts';
import { valueName } from '../../src/kit/uuid.ts';
import { FORMATS } from './formats.ts';

/** A value has at most 512 bytes (Bluetooth Core Specification, Vol 3, Part F, 3.2.9), and its name stands before it. */
const CAP_BYTES = 1100;

const KNOWN = Object.keys(FORMATS).join(', ');

const place = z
  .strictObject({
    of: z
      .string()
      .refine((text) => valueName(text) !== null, 'no UUID such as "2a6e"')
      .transform((text) => valueName(text) as string)
      .describe(
        'The UUID of the characteristic, as in the link; service-data/UUID or manufacturer-data/COMPANY for what is advertised',
      ),
    at: z.int().min(0).max(511).default(0).describe('Where its first byte stands; the first of the value is 0'),
    type: z
      .enum(NUMBER_TYPES)
      .optional()
      .describe(
        `u for whole numbers from 0, i for signed ones, f for IEEE 754, medfloat for IEEE 11073; with the bits. Without it the value is read as the Bluetooth SIG has published it: ${KNOWN}`,
      ),
    order: z
      .enum(['big', 'little'])
      .default('little')
      .describe('Which byte comes first: the most significant (big) or the least (little)'),
    scale: z
      .number()
      .refine((scale) => scale !== 0, 'a scale of 0 leaves nothing of the value')
      .default(1)
      .describe('What the number is multiplied by'),
    length: z.int().min(1).max(512).optional().describe('How many bytes the whole value has; any other is discarded'),
  })
  .superRefine(({ of, type, at, length }, context) => {
    if (type === undefined && FORMATS[uuidOf(of)] === undefined) {
      const params = { expected: 'the type of the number, such as i16' };
      context.addIssue({ code: 'custom', path: ['type'], message: `the format of ${of} is not known here`, params });
    }
    if (type !== undefined && length !== undefined && at + WIDTHS[type] > length) {
      const params = { expected: 'a place where all of its bytes lie within the value' };
      context.addIssue({ code: 'custom', path: ['at'], message: `${type} from byte ${at} on does not fit`, params });
    }
  });
type Place = z.output<typeof place>;

const options = z.strictObject({
  signals: signalMap(place).describe('Where each signal stands'),
});

export const gatt = textDriver<z.output<typeof options> & { checksum?: undefined; ask?: undefined }, null>({
  name: 'gatt',
  summary: 'Values of a Bluetooth LE device, as the link writes them: "2a6e 6608"',
  options,
  capBytes: CAP_BYTES,
  signals: ({ signals }) => Object.keys(signals),
  ready: () => null,
  read(text, { signals }): Reading {
    const [, name, hex = ''] = /^(\S{4,60}) ((?:[0-9a-f]{2})*)$/.exec(text) ?? [];
    if (name === undefined) return 'no-match';
    const places = Object.entries(signals).filter(([, { of }]) => of === name);
    if (places.length === 0) return 'no-match';
    const value = Uint8Array.from({ length: hex.length / 2 }, (_, at) =>
      Number.parseInt(hex.slice(2 * at, 2 * at + 2), 16),
    );
    const values: Record<string, number> = {};
    let fault: 'wrong-columns' | 'bad-number' = 'bad-number';
    for (const [signal, where] of places) {
      const found = numberIn(value, where);
      if (typeof found === 'number') values[signal] = found;
      else fault = found;
    }
    return Object.keys(values).length === 0 ? fault : values;
  },
});

function numberIn(
  value: Uint8Array,
  { of, at, type, order, scale, length }: Place,
): number | 'wrong-columns' | 'bad-number' {
  if (type === undefined) {
    const found = FORMATS[uuidOf(of)]?.read(value) ?? 'bad-number';
    return typeof found === 'number' ? found * scale : found;
  }
  const fits = length === undefined ? at + WIDTHS[type] <= value.length : value.length === length;
  if (!fits) return 'wrong-columns';
  const found = numberAt(value, at, type, order) * scale + 0;
  return Number.isFinite(found) ? found : 'bad-number';
}

/** "2a6e.2" → "2a6e". */
const uuidOf = (name: string): string => name.replace(/\.\d+$/, '');
