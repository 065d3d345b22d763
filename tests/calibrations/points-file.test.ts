/** CSV files of points: plain numbers under known names, or words that say what is wrong where. */
import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, expect, test } from 'vitest';
import { readPoints } from '../../src/calibrations/points-file.ts';

const dir = mkdtempSync(join(tmpdir(), 'stillwell-points-'));
afterAll(() => rmSync(dir, { recursive: true, force: true }));
const file = join(dir, 'points.csv');
const read = (text: string) => {
  writeFileSync(file, text);
  return readPoints(file, ['reference', 'indicated'], ['u-reference']);
};

test('columns in any order, an empty cell where one is optional, a note after #', () => {
  expect(read('\uFEFFindicated, u-reference ,reference\n# a bath\n1.5,,2\r\n-3e-1,0.1,-.5\n')).toEqual([
    { reference: 2, indicated: 1.5, 'u-reference': null },
    { reference: -0.5, indicated: -0.3, 'u-reference': 0.1 },
  ]);
});

test.each([
  ['nothing', '', /no column reference, indicated/],
  ['a header only', 'reference,indicated\n', /no row below/],
  ['a column short', 'reference\n1\n', /no column indicated/],
  ['a column unknown', 'reference,indicated,when\n1,2,3\n', /column when is not known/],
  ['a column twice', 'reference,indicated,indicated\n1,2,3\n', /twice/],
  ['a word', 'reference,indicated\n1,warm\n', /row 1: "warm" is no number/],
  ['a hexadecimal', 'reference,indicated\n1,0x10\n', /row 1/],
  ['a decimal comma', 'reference;indicated\n1,5;2\n', /no column/],
  ['no number at all', 'reference,indicated\n1,NaN\n', /row 1/],
  ['too large', 'reference,indicated\n1,1e999\n', /too large/],
  ['an empty cell', 'reference,indicated\n1,2\n3,\n', /row 2: indicated is empty/],
  ['an uncertainty below 0', 'reference,indicated,u-reference\n1,2,-1\n', /below 0/],
  ['a cell too many', 'reference,indicated\n1,2,3\n', /more cells/],
  ['an open quote', 'reference,indicated\n"1,2\n', /points-unreadable/],
])('%s is refused in words', (_what, text, words) => {
  expect(() => read(text)).toThrow(words);
});

test('a file that is not there', () => {
  expect(() => readPoints(join(dir, 'none.csv'), ['x'], [])).toThrow(/points-unreadable/);
});
