/** Settings that drivers of text lines share, and what follows from them. */
import { z } from 'zod';
import type { Questions } from './asking.ts';
import { CHECKSUMS, checksum, checksumBytes } from './checksum.ts';
import { durationUs } from './duration.ts';
import { DECIMALS } from './numbers.ts';
import { asLineText, isBlank } from './text.ts';

/** For names that channels refer to. */
export const signalName = z
  .string()
  .regex(/^[a-z][a-z0-9_-]*$/i, 'a signal is named with letters, digits, - and _, a letter first');

/** Where each signal is found, by its name. */
export function signalMap<Where extends z.ZodType>(where: Where) {
  return z
    .record(signalName, where)
    .refine((signals) => Object.keys(signals).length > 0, 'no signal is named: give at least one');
}

export const decimalOption = z
  .enum(DECIMALS)
  .optional()
  .describe(
    'What stands before the decimals: point for 41.25 (without it), comma for 41,25; the other one is no part of a number',
  );

/** A time in words. Whatever else stands there is told in the same words, a bare number too. */
export const duration = (lowest: string, highest: string) =>
  z.custom<string>().superRefine((written: unknown, context) => {
    const us = typeof written === 'string' ? durationUs(written) : null;
    const low = durationUs(lowest) as number;
    if (us !== null && us >= low && us <= (durationUs(highest) as number)) return;
    const fault = us === null ? 'is no time' : us < low ? 'is too short' : 'is too long';
    const expected = `a time from ${lowest} to ${highest}, such as 300 ms or 1.5 s`;
    context.addIssue({ code: 'custom', message: `${JSON.stringify(written)} ${fault}`, params: { expected } });
  });

export const checksumOption = z
  .strictObject({
    kind: z.enum(CHECKSUMS).describe('How the check value is worked out'),
    start: z
      .string()
      .max(8)
      .default('')
      .describe('Text at the start of the line that does not count towards it, such as "$"'),
    after: z.string().min(1).max(8).describe('The text between what is checked and the check value, such as "*"'),
    form: z
      .enum(['hex', 'decimal'])
      .default('hex')
      .describe('How the check value is printed; hex has two digits for each of its bytes'),
  })
  .describe('A check value at the end of every line; a line without a right one is discarded');
export type ChecksumOption = z.output<typeof checksumOption>;

export const askOption = z
  .strictObject({
    send: z
      .string()
      .min(1)
      .max(256)
      .superRefine((text, context) => {
        if (escapedBytes(text) !== null) return;
        const expected = 'text in which a backslash begins one of \\r \\n \\t \\\\ \\x and two hexadecimal digits';
        context.addIssue({
          code: 'custom',
          message: 'a backslash stands alone',
          params: { expected },
        });
      })
      .describe('The question, with \\r, \\n, \\t, \\\\ and \\xNN for bytes that cannot be written otherwise'),
    within: duration('1 ms', '60 s').describe('How long an answer may take; a later one is thrown away'),
    wait: duration('0 s', '60 s')
      .default('0 s')
      .describe('How long to wait after opening, for boards that restart when their port is opened'),
  })
  .describe('For an instrument that speaks only when asked; it is asked once in the interval of the instrument');
export type AskOption = z.output<typeof askOption>;

/** Shared by the drivers of lines that carry no check value of their own. */
export const lineOptions = { checksum: checksumOption.optional(), ask: askOption.optional() };

/** The bytes of a text with escapes; null where a backslash begins none of them. */
export function escapedBytes(text: string): Uint8Array | null {
  const known: Readonly<Record<string, string>> = { r: '\r', n: '\n', t: '\t', '\\': '\\' };
  if (!/^(?:[^\\]|\\[rnt\\]|\\x[0-9a-f]{2})*$/i.test(text)) return null;
  const bytes = asLineText(text).replace(/\\(?:x([0-9a-f]{2})|(.))/gi, (_, hex: string | undefined, letter: string) =>
    hex === undefined ? (known[letter] ?? '') : String.fromCharCode(Number.parseInt(hex, 16)),
  );
  return Uint8Array.from(bytes, (one) => one.charCodeAt(0));
}

export function questionsOf({ send, within, wait }: AskOption): Questions {
  return {
    bytes: escapedBytes(send) ?? new Uint8Array(),
    withinUs: durationUs(within) ?? 0,
    waitUs: durationUs(wait) ?? 0,
  };
}

/**
 * What stands before a right check value, or null. `text` holds one character for each byte (see lineText). Blanks at
 * the end of the line are free.
 */
export function checkedPart(text: string, bytes: Uint8Array, option: ChecksumOption): string | null {
  const { kind, after, form } = option;
  const start = asLineText(option.start);
  const separator = asLineText(after);
  const end = text.lastIndexOf(separator);
  if (end < start.length || !text.startsWith(start)) return null;
  let tail = text.length;
  while (isBlank(text.charCodeAt(tail - 1))) tail--;
  const printed = printedValue(text.slice(end + separator.length, tail), form, checksumBytes(kind));
  return printed === checksum(kind, bytes, start.length, end) ? text.slice(0, end) : null;
}

function printedValue(text: string, form: 'hex' | 'decimal', width: 1 | 2): number | null {
  if (form === 'decimal') return /^\d{1,5}$/.test(text) ? Number(text) : null;
  return text.length === 2 * width && /^[0-9a-f]+$/i.test(text) ? Number.parseInt(text, 16) : null;
}
