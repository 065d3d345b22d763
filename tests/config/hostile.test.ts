/** Files that are meant to do harm, or come from another world: no crash, no long work, a place for each mistake. */
import { describe, expect, test } from 'vitest';
import { loadBench } from '../../src/config/load.ts';
import { readSource } from '../../src/config/source.ts';
import { BENCH, broken, type Change, tell } from './bench-text.ts';
import { REGISTRY } from './drivers.ts';

describe('bombs', () => {
  const full = (piece: string): string => piece.repeat(Math.floor(65_000 / piece.length));
  test.each([
    ['brackets', full('['), '1:25 this is nested too deeply: the few levels that such a file needs'],
    ['dashes', full('- '), '1:49 this is nested too deeply: the few levels that such a file needs'],
    ['question marks', full('? '), '1:49 this is nested too deeply: the few levels that such a file needs'],
    ['braces', full('{a: '), '1:97 this is nested too deeply: the few levels that such a file needs'],
  ])('%s', (_name, text, told) => {
    expect(tell(text)).toEqual([told]);
  });

  test('references that double at each step are not followed', () => {
    const steps = Array.from({ length: 30 }, (_, i) => `k${i + 1}: &k${i + 1} [*k${i}, *k${i}]`);
    const told = tell(`k0: &k0 boom\n${steps.join('\n')}\n${BENCH}`);
    expect(told.filter((one) => one.includes('a reference (*) is not followed'))).toHaveLength(60);
    expect(told.filter((one) => one.includes('unknown key'))).toHaveLength(31);
    expect(told).toHaveLength(60 + 31 + 31);
  });

  test('a file of one megabyte is no bench file', () => {
    expect(tell(`${BENCH}${'# filler\n'.repeat(120_000)}`)).toEqual([
      `1:1 the file has ${BENCH.length + 9 * 120_000} characters: a file of at most 65536`,
    ]);
  });

  test('a bench file with thousands of comments is one', () => {
    expect(tell(`${BENCH}${'# filler\n'.repeat(6000)}`)).toEqual([]);
  });

  test('thousands of mistakes are all told', () => {
    const extra = Array.from({ length: 3000 }, (_, i) => `k${i}: 1\n`).join('');
    expect(tell(`${BENCH}${extra}`)).toHaveLength(3000);
  });
});

describe('names that every object has', () => {
  test('keys that would reach into prototypes change nothing', () => {
    const told = tell(
      broken(
        ['instruments:\n', 'instruments:\n  __proto__: { polluted: yes }\n'],
        ['channels:\n', 'constructor: { prototype: { polluted: yes } }\nchannels:\n'],
        ['    settling: 6 s', '    settling: 6 s\n    __proto__: { over: 1 s }\n    toString: 1'],
      ),
    );
    expect(told).toEqual([
      '3:3 the key "__proto__" is not allowed: another name',
      '15:1 unknown key "constructor": one of "bench", "instruments", "channels", "measure", "fluid", "vessel", "circuit", "machine", "alarms", "journal", "procedures", "page"',
      '35:5 the key "__proto__" is not allowed: another name',
      '36:5 unknown key "toString": one of "tolerance", "confidence", "waves", "settling", "longest"',
    ]);
    expect(({} as Record<string, unknown>).polluted).toBeUndefined();
  });

  test('a required key is not found in the prototype', () => {
    expect(tell('__proto__: { bench: x }\n')).toContain(
      '1:1 missing key "bench": a name of at most 80 characters, such as bench: North bay',
    );
  });
});

describe('other worlds', () => {
  const changes: readonly Change[] = [
    ['unit: mm\n', 'unit: mn\n'],
    ['bench: East hall', 'bench: 5'],
  ];
  const told = tell(broken(...changes));

  test.each([
    ['Windows line ends', (text: string) => text.replaceAll('\n', '\r\n')],
    ['line ends of old computers', (text: string) => text.replaceAll('\n', '\r')],
    ['a byte order mark', (text: string) => `\u{feff}${text}`],
    ['no line end at the end', (text: string) => text.trimEnd()],
  ])('%s', (_name, change) => {
    const text = broken(...changes);
    expect(tell(change(BENCH))).toEqual([]);
    expect(tell(change(text))).toEqual(told);
    expect(told).toHaveLength(2);
  });

  test('columns count characters, also those beyond the first plane', () => {
    expect(tell(broken(['{ slope: 0.25', '{ "🛢🛢": 1, slope: 0.25']))).toEqual([
      '30:19 unknown key "🛢🛢": one of "vessel-and-fluid", "chart", "slope", "uncertainty", "learned"',
    ]);
    expect(tell(broken(['{ slope: 0.25', '{ "🛢🛢": 1, slop: 0.25'])).at(-1)).toMatch(/^30:28 unknown key "slop"/);
  });

  test.each([
    ['a file in another encoding', BENCH.replace('°', '\u{fffd}'), '17:11'],
    ['a file of two bytes a character', [...BENCH].join('\0'), '1:2'],
    ['an escape sequence', BENCH.replace('East', '\u{1b}[31mEast'), '1:8'],
  ])('%s', (_name, text, place) => {
    expect(tell(text)).toEqual([`${place} this is no character of a text file: plain text, saved as UTF-8`]);
  });

  test.each(['', '\n\n', '# nothing yet\n', '---\n', '~\n', '\u{feff}'])('an empty file: %j', (text) => {
    expect(tell(text)).toEqual([
      '1:1 the file is empty: the keys "bench", "instruments", "channels", "measure", "fluid", "vessel", "circuit", "machine", "alarms", "journal", "procedures", "page"',
    ]);
  });

  test.each(['just words\n', '- a\n- b\n', '"text"\n', '42\n'])('no keys: %j', (text) => {
    expect(tell(text)[0]).toBe(
      '1:1 this is no key with a value: one "key: value" a line, with a blank after the colon',
    );
  });
});

test('the very end of a text lies on its last line, not below it', () => {
  const { place } = readSource('a: 1\nb: 2\n');
  expect([place(5), place(9), place(10), place(99)]).toEqual([
    { line: 2, column: 1 },
    { line: 2, column: 5 },
    { line: 2, column: 5 },
    { line: 2, column: 5 },
  ]);
});

test('mistakes come in the order of the file', () => {
  const text = broken(
    ['settling: 6 s', 'settling: 6'],
    ['bench: East hall', 'bench: 5'],
    ['from: probe.temp', 'from: x.y'],
  );
  const loaded = loadBench(text, '/bay/bench.yaml', REGISTRY);
  expect(loaded.ok ? [] : loaded.mistakes.map(({ path }) => path)).toEqual([
    'bench',
    'channels.oil.from',
    'measure.steady.settling',
  ]);
});
