/** What stands on the terminal for each mistake. */
import { expect, test } from 'vitest';
import { formatMistakes } from '../../src/config/format.ts';
import { loadBench } from '../../src/config/load.ts';
import { nearest } from '../../src/config/mistake.ts';
import { broken, type Change } from './bench-text.ts';
import { REGISTRY } from './drivers.ts';

function print(...changes: readonly Change[]): string {
  const text = broken(...changes);
  const loaded = loadBench(text, '/bay/bench.yaml', REGISTRY);
  return loaded.ok ? '' : formatMistakes('bench.yaml', text, loaded.mistakes);
}

test('a mistake is printed with its place, what was expected, what was meant, and a mark under the spot', () => {
  expect(print(['    pattern: "T', '    patern: "T'], ['unit: mm\n', 'unit: mn\n'])).toBe(
    [
      'bench.yaml:7:5  unknown key "patern": expected one of "driver", "link", "identity", "every", "pattern"; did you mean "pattern"?',
      '    7 |     patern: "T={temp} C"',
      '      |     ^',
      '',
      'bench.yaml:22:11  unknown unit "mn": expected a unit such as "°C", "°F", "K", "mm", "cm", "m", "kPa", "bar", "mbar", "V", "mV", "uV", "%", "L", "mL", "m³"; did you mean "mm"?',
      '   22 |     unit: mn',
      '      |           ^',
      '',
    ].join('\n'),
  );
});

test('tabs keep the mark in its column', () => {
  expect(print(['bench: East hall', 'bench:\t5'])).toContain('    1 | bench:\t5\n      |       \t^\n');
});

test('of a long line the part around the spot is shown', () => {
  const printed = print(['{ slope: 0.25', `{ slope: ${'0'.repeat(300)}, slop: 0.25`]);
  const [, line, mark] = printed.split('\n').slice(-4);
  expect(line?.length).toBeLessThan(120);
  expect(line?.slice(mark?.indexOf('^'))).toMatch(/^slop: /);
});

test('nothing of the file can steer the terminal', () => {
  const text = 'bench: 5\u{9b}31m\u{202e}\n';
  const printed = formatMistakes('b', text, [
    { line: 1, column: 8, path: 'bench', words: 'words', expected: '', nearest: '\u{1b}[2J' },
  ]);
  expect(printed).toBe(
    'b:1:8  words; did you mean "\u{fffd}[2J"?\n    1 | bench: 5\u{fffd}31m\u{fffd}\n      |        ^\n',
  );
});

test.each([
  ['patern', ['driver', 'pattern', 'link'], 'pattern'],
  ['form', ['from', 'unit'], 'from'],
  ['temp', ['level', 'temperature'], 'temperature'],
  ['UNIT', ['from', 'unit'], 'unit'],
  ['colour', ['bench', 'page'], null],
  ['', ['a'], null],
  ['temp', ['lamp', 'temperature'], 'temperature'],
  ['x'.repeat(10_000), ['xxx'], null],
])('the nearest to %s', (text, names, meant) => {
  expect(nearest(text, names)).toBe(meant);
});
