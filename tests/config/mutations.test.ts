/** Random damage to a good file: never an exception, and every mistake has its place in the file. */
import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import fc from 'fast-check';
import { expect, test } from 'vitest';
import { drivers } from '../../drivers/index.ts';
import { formatMistakes } from '../../src/config/format.ts';
import { loadBench } from '../../src/config/load.ts';
import { ROOT } from '../repo/house.ts';

const EXAMPLE = readFileSync(join(ROOT, 'docs/examples/bench.yaml'), 'utf8');
const PLAIN = EXAMPLE.replace(/^ *#.*\n/gm, '').replace(/\n\n+/g, '\n');

const SNIPPETS = [
  ...'\t \n\r:-?{}[],#&*!|>\'"%@`~\\0°µ\u{feff}\u{0}',
  ...[
    ': ',
    '- ',
    '\n  ',
    '\n    ',
    ' #',
    '---\n',
    '...\n',
    '<<: ',
    '*a',
    '&a ',
    '!!map ',
    '__proto__: 1\n',
    '1e999',
    '.nan',
  ],
  ...[
    'null',
    'true',
    '500',
    '-1 s',
    '9 kg',
    'constructor',
    '46 °C to 54 °C',
    '{ }',
    '[ ]',
    '""',
    '\u{1f6e2}',
    'measure:\n',
  ],
];

const place = fc.double({ min: 0, max: 1, noNaN: true, maxExcluded: true });
const damage = fc.oneof(
  fc.record({ kind: fc.constant('insert' as const), at: place, text: fc.constantFrom(...SNIPPETS) }),
  fc.record({ kind: fc.constant('delete' as const), at: place, count: fc.integer({ min: 1, max: 40 }) }),
  fc.record({ kind: fc.constant('replace' as const), at: place, text: fc.constantFrom(...SNIPPETS) }),
  fc.record({ kind: fc.constant('drop-line' as const), at: place }),
  fc.record({ kind: fc.constant('double-line' as const), at: place }),
  fc.record({ kind: fc.constant('indent-line' as const), at: place, text: fc.constantFrom(' ', '  ', '    ', '\t') }),
  fc.record({ kind: fc.constant('swap-value' as const), at: place, text: fc.constantFrom(...SNIPPETS) }),
);
type Damage = typeof damage extends fc.Arbitrary<infer D> ? D : never;

function damaged(text: string, one: Damage): string {
  const offset = Math.floor(one.at * text.length);
  const lines = text.split('\n');
  const line = Math.floor(one.at * lines.length);
  const content = lines[line] ?? '';
  switch (one.kind) {
    case 'insert':
      return text.slice(0, offset) + one.text + text.slice(offset);
    case 'delete':
      return text.slice(0, offset) + text.slice(offset + one.count);
    case 'replace':
      return text.slice(0, offset) + one.text + text.slice(offset + 1);
    case 'drop-line':
      return lines.toSpliced(line, 1).join('\n');
    case 'double-line':
      return lines.toSpliced(line, 0, content).join('\n');
    case 'indent-line':
      return lines.toSpliced(line, 1, one.text + content).join('\n');
    case 'swap-value':
      return lines.toSpliced(line, 1, content.replace(/:.*/, `: ${one.text}`)).join('\n');
  }
}

function holds(text: string): boolean {
  const loaded = loadBench(text, '/bay/bench.yaml', drivers);
  if (loaded.ok) return true;
  const lines = text.replace(/^\u{feff}/u, '').split(/\r\n|\r|\n/);
  if (lines.length > 1 && lines.at(-1) === '') lines.pop();
  expect(loaded.mistakes.length).toBeGreaterThan(0);
  let last = { line: 1, column: 1 };
  for (const { line, column, words, path } of loaded.mistakes) {
    expect(line, `${path}: ${words}`).toBeGreaterThanOrEqual(1);
    expect(line, `${path}: ${words}`).toBeLessThanOrEqual(lines.length);
    expect(column, `${path}: ${words}`).toBeGreaterThanOrEqual(1);
    expect(column, `${path}: ${words}`).toBeLessThanOrEqual([...(lines[line - 1] ?? '')].length + 1);
    expect(words).not.toBe('');
    expect(line > last.line || (line === last.line && column >= last.column), `${path}: order`).toBe(true);
    last = { line, column };
  }
  expect(formatMistakes('bench.yaml', text, loaded.mistakes)).not.toMatch(/[^\P{Cc}\t\n]/u);
  return false;
}

const seed = Number(process.env.STILLWELL_SEED ?? Date.now() % 2 ** 31);

test('a damaged example never throws, and each mistake lies inside the file', () => {
  console.log(`seed ${seed}`);
  let good = 0;
  let bad = 0;
  fc.assert(
    fc.property(fc.array(damage, { minLength: 1, maxLength: 4 }), fc.boolean(), (damages, withComments) => {
      const text = damages.reduce(damaged, withComments ? EXAMPLE : PLAIN);
      if (holds(text)) good++;
      else bad++;
    }),
    { seed, numRuns: 300 },
  );
  // The damage must reach the keys, and leave some files whole.
  expect(bad).toBeGreaterThan(50);
  expect(good).toBeGreaterThan(3);
});

test('any text at all is answered', () => {
  console.log(`seed ${seed}`);
  const text = fc.array(fc.oneof(fc.constantFrom(...SNIPPETS), fc.string({ unit: 'binary', maxLength: 5 })), {
    maxLength: 60,
  });
  fc.assert(
    fc.property(text, (pieces) => {
      expect(holds(pieces.join(''))).toBe(false);
    }),
    { seed, numRuns: 200 },
  );
});
