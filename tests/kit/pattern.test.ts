import fc from 'fast-check';
import { expect, test } from 'vitest';
import { matchPattern, readPattern } from '../../src/kit/pattern.ts';
import { lineText } from '../../src/kit/text.ts';

function match(source: string, line: string) {
  const read = readPattern(source);
  if ('problem' in read) throw new Error(read.problem);
  const text = lineText(new TextEncoder().encode(line));
  if (text === null) throw new Error('no text');
  return matchPattern(read.pattern, text);
}

test.each([
  ['T={t} C', 'T=41.25 C', { t: 41.25 }],
  ['T={t} C', '  T= 41.25   C  ', { t: 41.25 }],
  ['T={t}C', 'T=-5C', { t: -5 }],
  ['T={t} °C', 'T=20.5 °C', { t: 20.5 }],
  ['{t}', '7', { t: 7 }],
  ['{...}T={t}{...}', 'node 3 T=7.5, ok', null],
  ['{...}T={t},{...}', 'node 3 T=7.5, ok', { t: 7.5 }],
  ['{...} T={t}', 'T=x T=1 T=2', { t: 2 }],
  ['a={a} b={b}', 'a=1 b=2', { a: 1, b: 2 }],
  ['{...}b={b}', 'bb=b=2', { b: 2 }],
  ['dist {d} mm', 'dist 62.3 mm', { d: 62.3 }],
])('pattern %j on line %j gives %j', (source, line, values) => {
  const result = match(source, line);
  if (values === null) expect(result).toEqual({ reason: 'bad-number' });
  else expect(result).toEqual({ values });
});

test.each([
  ['T={t} C', 'T=41,25 C', 'bad-number'],
  ['T={t}', 'T=0.943M', 'bad-number'],
  ['T={t}', 'T=1e999', 'bad-number'],
  ['T={t}', 'T=0x1F', 'bad-number'],
  ['T={t}', 'T=', 'bad-number'],
  ['T={t} C', 'T=41.25 F', 'no-match'],
  ['T={t} C', 'boot v2', 'no-match'],
  ['T={t} C', 'T=41.25 C T=3', 'no-match'],
  ['T={t} C', '', 'no-match'],
])('pattern %j refuses line %j as %s', (source, line, reason) => {
  expect(match(source, line)).toEqual({ reason });
});

test.each([
  ['T=', 'no number'],
  ['{a}{b}', 'between two numbers'],
  ['{...}{a}', 'between {...}'],
  ['{a} {a}', 'stands twice'],
  ['{a b}', 'is no name'],
  ['T={t', 'brace is missing'],
])('pattern %j is refused: %s', (source, words) => {
  expect(readPattern(source)).toEqual({ problem: expect.stringContaining(words) });
});

test('a match costs time linear in the line, for patterns made to be slow', () => {
  const read = readPattern('{...}a{x}a{...}a{y}b');
  if ('problem' in read) throw new Error(read.problem);
  let looks = 0;
  const counted = (length: number) => {
    looks = 0;
    const line = 'a1'.repeat(length / 2);
    const spy = new Proxy(new String(line), {
      get(target, key) {
        const value = Reflect.get(target, key) as unknown;
        if (typeof value !== 'function') return value;
        looks++;
        return value.bind(line);
      },
    }) as unknown as string;
    matchPattern(read.pattern, spy);
    return looks;
  };
  const short = counted(512);
  const long = counted(1024);
  expect(long / short).toBeLessThan(2.2);
});

test('any bytes either match or give a reason, never anything else', () => {
  const seed = Number(process.env.STILLWELL_SEED ?? 1);
  console.log(`seed ${seed}`);
  const read = readPattern('{...}T={t} C{...}x{x};');
  if ('problem' in read) throw new Error(read.problem);
  fc.assert(
    fc.property(fc.uint8Array({ maxLength: 80 }), (bytes) => {
      const text = lineText(bytes);
      if (text === null) return;
      const result = matchPattern(read.pattern, text);
      if ('values' in result)
        for (const value of Object.values(result.values)) expect(Number.isFinite(value)).toBe(true);
      else expect(['no-match', 'bad-number']).toContain(result.reason);
    }),
    { seed, numRuns: 2000 },
  );
});
