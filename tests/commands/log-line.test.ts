import pino from 'pino';
import { expect, test } from 'vitest';
import { readableLine } from '../../src/commands/log-line.ts';

/** What pino writes for one call, read for the eye. */
function shown(level: 'info' | 'warn' | 'error', about: object, words: string): string {
  let line = '';
  const write = (text: string): void => {
    line = readableLine(text);
  };
  pino({}, { write })[level](about, words);
  return line;
}

test('is one line: time of day, level, words, and the rest by name', () => {
  expect(shown('info', { instrument: 'sonar', reason: 'unplugged', event: 12 }, 'link closed')).toMatch(
    /^\d\d:\d\d:\d\d info {3}link closed {2}instrument=sonar reason=unplugged event=12\n$/,
  );
  expect(shown('error', {}, 'failed')).toMatch(/^\d\d:\d\d:\d\d error {2}failed\n$/);
});

test('tells the time of this computer', () => {
  const at = new Date(2031, 4, 6, 7, 8, 9).getTime();
  expect(readableLine(JSON.stringify({ level: 40, time: at, msg: 'x' }))).toBe('07:08:09 warn   x\n');
});

test('lets no device or client steer the terminal, or fill it', () => {
  const line = shown('warn', { detail: '\u001b[2J\r\nFAKE\u202e\u0007' }, 'odd\nwords');
  expect(line.slice(0, -1)).toMatch(/^[^\p{Cc}\p{Cf}]+$/u);
  expect(line).toContain('odd·words  detail=·[2J··FAKE··');
  expect(shown('warn', { detail: 'x'.repeat(10_000) }, 'long').length).toBeLessThan(500);
});

test('hands on what is no JSON as it is', () => {
  expect(readableLine('something else\n')).toBe('something else\n');
});
