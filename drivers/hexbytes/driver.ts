import { checksum, checksumBytes } from '../../src/kit/checksum.ts';
import type { z } from '../../src/kit/driver.ts';
import { asLineText } from '../../src/kit/text.ts';
import { textDriver } from '../../src/kit/text-driver.ts';
import { type Check, fieldValue, options, textBytes } from './fields.ts';

export const hexbytes = textDriver<z.output<typeof options>, null>({
  name: 'hexbytes',
  summary: 'Bytes written as hexadecimal text, such as "91 01 4B 46 7F FF 0F 10 25"',
  options,
  signals: ({ signals }) => Object.keys(signals),
  checked: ({ check }) => check !== undefined,
  ready: () => null,
  read(text, { before, header, length, signals, check }) {
    const line = text.trim();
    const mark = asLineText(before);
    const bytes = line.startsWith(mark) ? textBytes(line.slice(mark.length)) : null;
    if (bytes === null) return 'no-match';
    if (bytes.length !== length) return 'wrong-columns';
    if (check !== undefined && !isWhole(bytes, check)) return 'checksum';
    if (textBytes(header)?.some((byte, at) => byte !== bytes[at])) return 'no-match';
    const values: Record<string, number> = {};
    for (const [signal, field] of Object.entries(signals)) {
      const value = fieldValue(bytes, field);
      if (!Number.isFinite(value)) return 'bad-number';
      values[signal] = value;
    }
    return values;
  },
});

/** A line held low reads as zeros all through, and zeros carry a right check value of several kinds: never whole. */
function isWhole(bytes: Uint8Array, { kind, order }: Check): boolean {
  const at = bytes.length - checksumBytes(kind);
  const last = bytes.subarray(at);
  const [high = 0, low = 0] = order === 'big' ? last : last.toReversed();
  const said = last.length === 1 ? high : high * 256 + low;
  return said === checksum(kind, bytes, 0, at) && bytes.some((byte) => byte !== 0);
}
