import type { Random } from './random.ts';
import { type SentLine, utf8, wordless } from './sent.ts';
import { wandering } from './wander.ts';

const BATH_C = { middle: 33, swing: 40, periodS: 130, noise: 0.05 };
const HEIGHT_MM = { middle: 71, swing: 3, periodS: 60, noise: 0.1 };
const HEADER = 0xa5;

/** CRC-8 with polynomial x⁸ + x² + x + 1 from 0: the remainder of the message's bits, most significant first. */
export function remainder(bytes: readonly number[]): number {
  const bits = [...bytes, 0].flatMap((byte) => Array.from({ length: 8 }, (_, bit) => (byte >> (7 - bit)) & 1));
  return bits.reduce((register, bit) => {
    const shifted = (register << 1) | bit;
    return shifted > 0xff ? shifted ^ 0x107 : shifted;
  }, 0);
}

/**
 * A gauge on a dyer's bath that speaks only when asked: to `READ` and CR it answers eight bytes in hexadecimal, such as
 * `A5 07 0C E6 C3 1B 57 9D` and CR: mark, counter, temperature (signed, high byte first, 0.01 °C), height (low byte
 * first, 0.01 mm), echo strength, CRC-8. To anything else it says `?`.
 */
export class HexGauge {
  readonly #random: Random;
  #answers = 0;

  constructor(random: Random) {
    this.#random = random;
  }

  answer(question: string): SentLine {
    if (question !== 'READ\r') return wordless('?\r');
    const tS = this.#answers;
    this.#answers += 1;
    const celsius = Math.round(wandering(BATH_C, tS, this.#random) * 100);
    const mm = Math.round(wandering(HEIGHT_MM, tS, this.#random) * 100);
    const strength = this.#random.integer(70, 95);
    const word = celsius < 0 ? celsius + 0x10000 : celsius;
    const body = [HEADER, tS % 256, word >> 8, word % 256, mm % 256, mm >> 8, strength];
    const text = [...body, remainder(body)].map((byte) => byte.toString(16).toUpperCase().padStart(2, '0')).join(' ');
    return { bytes: utf8(`${text}\r`), values: { temp: celsius * 0.01, level: mm * 0.01, strength } };
  }
}

/** What it answers when asked again and again; somebody has asked before. */
export function hexGauge(random: Random, lines: number): readonly SentLine[] {
  const gauge = new HexGauge(random);
  return Array.from({ length: lines + 1 }, () => gauge.answer('READ\r'));
}
