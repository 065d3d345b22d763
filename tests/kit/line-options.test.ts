import { describe, expect, test } from 'vitest';
import { CHECKSUMS, type ChecksumKind, checksum, checksumBytes } from '../../src/kit/checksum.ts';
import { askOption, checkedPart, checksumOption, escapedBytes } from '../../src/kit/line-options.ts';
import { lineText } from '../../src/kit/text.ts';
import { CHECK_TEXT, CHECK_VALUES } from '../reference/protocols.ts';

function check(line: string, settings: unknown): string | null {
  const bytes = new TextEncoder().encode(line);
  return checkedPart(lineText(bytes) as string, bytes, checksumOption.parse(settings));
}

const printed = (kind: ChecksumKind, form: 'hex' | 'decimal'): string => {
  const value = CHECK_VALUES.find((one) => one.kind === kind)?.value as number;
  return form === 'decimal' ? String(value) : value.toString(16).padStart(2 * checksumBytes(kind), '0');
};

describe.each(CHECKSUMS)('a line with %s', (kind) => {
  test.each(['hex', 'decimal'] as const)('as %s is taken up to its separator, and only with a right value', (form) => {
    const settings = { kind, after: '*', form };
    const value = printed(kind, form);
    expect(check(`${CHECK_TEXT}*${value}`, settings)).toBe(CHECK_TEXT);
    expect(check(`${CHECK_TEXT}*${value.toUpperCase()}  `, settings)).toBe(CHECK_TEXT);
    expect(check(`${CHECK_TEXT}*${value.slice(0, -1)}`, settings)).toBeNull();
    expect(check(`${CHECK_TEXT.replace('5', '6')}*${value}`, settings)).toBeNull();
    expect(check(`${CHECK_TEXT}${value}`, settings)).toBeNull();
    expect(check(`${CHECK_TEXT}*`, settings)).toBeNull();
    expect(check(`${CHECK_TEXT}*-${value}`, settings)).toBeNull();
    expect(check('', settings)).toBeNull();
  });
});

test('a start does not count towards the check value, and must be there', () => {
  const settings = { kind: 'xor', start: '$', after: '*' };
  expect(check(`$${CHECK_TEXT}*31`, settings)).toBe(`$${CHECK_TEXT}`);
  expect(check(`${CHECK_TEXT}*31`, settings)).toBeNull();
  expect(check('*00', settings)).toBeNull();
});

test('every digit of a check value is printed, also a leading zero, and no more', () => {
  const payload = 'IIXDR,D,0.1234,M,LEVEL';
  const settings = { kind: 'xor', after: '*' };
  expect(check(`${payload}*0B`, settings)).toBe(payload);
  for (const value of ['B', '00B', '0x0B', ' 0B']) expect(check(`${payload}*${value}`, settings)).toBeNull();
});

test('the last separator counts, and may have several characters', () => {
  const sum = checksum('sum-8', new TextEncoder().encode('a#=b')).toString(16);
  expect(check(`a#=b#=${sum}`, { kind: 'sum-8', after: '#=' })).toBe('a#=b');
});

test.each([
  ['READ\\r', [82, 69, 65, 68, 13]],
  ['\\x01A\\xfF\\n', [1, 65, 255, 10]],
  ['\\\\r\\t', [92, 114, 9]],
  ['°', [0xc2, 0xb0]],
  ['a\r', [97, 13]],
  ['\\q', null],
  ['\\x4', null],
  ['end\\', null],
])('%j is sent as %j', (text, bytes) => {
  const escaped = escapedBytes(text);
  expect(escaped === null ? null : [...escaped]).toEqual(bytes);
});

test.each([
  [{ send: 'R\\', within: '300 ms' }, 'a backslash stands alone'],
  [{ send: 'R', within: 'soon' }, '"soon" is no time'],
  [{ send: 'R', within: 300 }, '300 is no time'],
  [{ send: 'R' }, 'is no time'],
  [{ send: 'R', within: '2 min' }, '"2 min" is too long'],
  [{ send: 'R', within: '10 us' }, '"10 us" is too short'],
  [{ send: 'R', within: '300 ms', wait: '90 s' }, '"90 s" is too long'],
])('a question %j is refused in words', (settings, words) => {
  expect(askOption.safeParse(settings).error?.issues[0]?.message).toContain(words);
});

test('the settings stay as they were written, as plain data', () => {
  const settings = { send: 'READ\\r', within: '300 ms', wait: '2 s' };
  expect(askOption.parse(settings)).toEqual(settings);
});
