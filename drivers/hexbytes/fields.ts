/** Settings of the driver, and how bytes become numbers. */
import { type NumberType, numberAt, WIDTHS } from '../../src/kit/binary.ts';
import { CHECKSUMS, checksumBytes } from '../../src/kit/checksum.ts';
import { z } from '../../src/kit/driver.ts';
import { lineOptions, signalMap } from '../../src/kit/line-options.ts';

const TYPES = ['u8', 'i8', 'u16', 'i16', 'u32', 'i32', 'f32'] as const satisfies readonly NumberType[];

const order = z.enum(['big', 'little']);

const field = z.strictObject({
  at: z.int().min(0).max(255).describe('Where its first byte stands; the first of the answer is 0'),
  type: z
    .enum(TYPES)
    .describe("u for whole numbers from 0, i for signed ones (two's complement), f32 for IEEE 754; with the bits"),
  order: order.default('big').describe('Which byte comes first: the most significant (big) or the least (little)'),
  scale: z
    .number()
    .refine((scale) => scale !== 0, 'a scale of 0 leaves nothing of the value')
    .default(1)
    .describe('What the number is multiplied by'),
});
type Field = z.output<typeof field>;

const check = z
  .strictObject({
    kind: z.enum(CHECKSUMS).describe('How the check value is worked out'),
    order: order.default('big').describe('Which byte of a check value of two bytes comes first'),
  })
  .describe('The last byte or bytes of the answer check all before them');
export type Check = z.output<typeof check>;

export const options = z
  .strictObject({
    length: z.int().min(1).max(256).describe('How many bytes an answer has; any other is discarded'),
    signals: signalMap(field).describe('Where each signal stands in the bytes'),
    before: z.string().trim().max(32).default('').describe('Text in front of the bytes, such as "DATA:"'),
    header: z
      .string()
      .refine(
        (text) => text === '' || textBytes(text) !== null,
        'not bytes: pairs of hexadecimal digits, such as "1A 2F"',
      )
      .default('')
      .describe('Bytes that every answer begins with, such as "1A 2F"'),
    check: check.optional(),
    ...lineOptions,
  })
  .superRefine(({ length, signals, check }, context) => {
    const end = length - (check === undefined ? 0 : checksumBytes(check.kind));
    for (const [signal, { at, type }] of Object.entries(signals)) {
      if (at + WIDTHS[type] <= end) continue;
      const message = `${type} from byte ${at} on does not fit into ${end} byte${end === 1 ? '' : 's'}${check === undefined ? '' : ' before the check value'}`;
      const expected = 'a place where all of its bytes lie within the answer';
      context.addIssue({ code: 'custom', path: ['signals', signal, 'at'], message, params: { expected } });
    }
  });

/** "1A 2F", "1a2f": pairs of hexadecimal digits with or without blanks between; null for anything else. */
export function textBytes(text: string): Uint8Array | null {
  const pairs = text.trim().split(/[ \t]+/);
  if (!pairs.every((digits) => digits.length % 2 === 0 && /^[0-9a-f]+$/i.test(digits))) return null;
  const digits = pairs.join('');
  return Uint8Array.from({ length: digits.length / 2 }, (_, at) =>
    Number.parseInt(digits.slice(2 * at, 2 * at + 2), 16),
  );
}

export function fieldValue(bytes: Uint8Array, { at, type, order, scale }: Field): number {
  return numberAt(bytes, at, type, order) * scale + 0;
}
