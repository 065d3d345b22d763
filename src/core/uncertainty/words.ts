/** A result in plain words: "63.4 mm, sure to three tenths of a millimetre". */
import { plain, told } from './rounding.ts';

/** Sizes that people have a word for, in mm. */
const SIZES: readonly (readonly [mm: number, words: string])[] = [
  [0.01, 'a hundredth of a millimetre'],
  [0.02, 'two hundredths of a millimetre'],
  [0.05, 'five hundredths of a millimetre'],
  [0.1, 'a tenth of a millimetre'],
  [0.2, 'two tenths of a millimetre'],
  [0.3, 'three tenths of a millimetre'],
  [0.4, 'four tenths of a millimetre'],
  [0.5, 'half a millimetre'],
  [0.75, 'three quarters of a millimetre'],
  [1, 'a millimetre'],
  [1.5, 'a millimetre and a half'],
  [2, 'two millimetres'],
  [3, 'three millimetres'],
  [4, 'four millimetres'],
  [5, 'five millimetres'],
  [6, 'six millimetres'],
  [8, 'eight millimetres'],
  [10, 'ten millimetres'],
];

/** An excess of less than half a hundredth does not count, as with the figures (rounding.ts). */
const HARMLESS = 1.005;

/** The size that `U` does not exceed, in words. */
export function sizeInWords(UMm: number): string {
  const size = SIZES.find(([mm]) => UMm <= mm * HARMLESS);
  return size === undefined ? `${plain(Math.ceil(UMm / HARMLESS), 0)} mm` : size[1];
}

/** A level and how sure it is; with a comma between it is a sentence. */
export interface LevelWords {
  readonly level: string;
  readonly sure: string;
}

export function levelInWords(levelMm: number, U95Mm: number): LevelWords {
  return { level: `${told(levelMm, U95Mm).value} mm`, sure: `sure to ${sizeInWords(U95Mm)}` };
}
