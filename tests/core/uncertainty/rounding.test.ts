import { expect, test } from 'vitest';
import { told, toldUncertainty } from '../../../src/core/uncertainty/rounding.ts';
import { levelInWords, sizeInWords } from '../../../src/core/uncertainty/words.ts';
import { uncertainty } from '../../../src/page/format.ts';
import { ROUNDED } from '../../reference/gum.ts';
import { uniforms } from '../../support/draws.ts';

test.each(ROUNDED)('GUM 7.2.6: %d is told as %s', (U, text) => {
  expect(toldUncertainty(U).text).toBe(text);
});

test.each([
  [62.3147, 0.374, '62.3', '0.4'],
  [62.3147, 0.1402, '62.31', '0.14'],
  [62.3147, 0.207, '62.31', '0.21'],
  [62.3147, 0.97, '62.3', '1.0'],
  [62.3147, 2.04, '62.3', '2.1'],
  [62.3147, 12.2, '62', '13'],
  [-0.04, 0.31, '0.0', '0.4'],
  [-3.26, 0.31, '−3.3', '0.4'],
  [1234, 253, '1230', '260'],
])('%d ± %d is told as %s ± %s', (value, U, valueText, UText) => {
  expect(told(value, U)).toMatchObject({ value: valueText, U: UText });
});

test('at most two figures, and less by no more than half a hundredth, whatever the size (seed 11)', () => {
  const uniform = uniforms(11);
  for (let i = 0; i < 3000; i++) {
    const U = Math.exp(9 * uniform() - 6);
    const { text } = toldUncertainty(U);
    expect(text.replace(/^0\.0*|\./g, '').replace(/(?<=^..)0*$/, '').length, `${U}: ${text}`).toBeLessThanOrEqual(2);
    expect(Number(text)).toBeGreaterThan(0.995 * U - 1e-9);
    expect(Number(text)).toBeLessThanOrEqual(1.34 * U);
  }
});

test('the page tells the same figures (seed 12)', () => {
  const uniform = uniforms(12);
  for (let i = 0; i < 3000; i++) {
    const U = Math.exp(9 * uniform() - 6);
    expect(uncertainty(U)).toEqual(toldUncertainty(U));
  }
  expect(uncertainty(0)).toEqual(toldUncertainty(0));
});

test.each([
  [0.004, 'a hundredth of a millimetre'],
  [0.1, 'a tenth of a millimetre'],
  [0.31, 'four tenths of a millimetre'],
  [0.501, 'half a millimetre'],
  [0.51, 'three quarters of a millimetre'],
  [1.2, 'a millimetre and a half'],
  [7, 'eight millimetres'],
  [23.2, '24 mm'],
])('an uncertainty of %d mm in words is %s', (U, words) => {
  expect(sizeInWords(U)).toBe(words);
});

test('a level in words has the digits that its uncertainty allows', () => {
  expect(levelInWords(58.3147, 0.46)).toEqual({ level: '58.3 mm', sure: 'sure to half a millimetre' });
  expect(levelInWords(58.3147, 0.12)).toEqual({ level: '58.31 mm', sure: 'sure to two tenths of a millimetre' });
});
