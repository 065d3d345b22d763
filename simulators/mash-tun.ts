import { floatWords, lineFrame, replyTo, type SlaveSpec } from './modbus-slave.ts';
import type { Random } from './random.ts';
import type { SentLine } from './sent.ts';
import { wandering } from './wander.ts';

const MASH_C = { middle: 21, swing: 45, periodS: 150, noise: 0.05 };
const HEIGHT_MM = { middle: 240, swing: 12, periodS: 70, noise: 0.4 };

export const TUN_SLAVE = 17;
export const TUN_ADDRESS = 107;

/**
 * The transmitter on a brewer's mash tun, slave 17. Holding registers from 107 on: temperature (signed, 0.01 °C), height
 * (float, low word first, mm), strokes of the rake (32 bits, high word first), a word of marks (bit 0: rake runs, bit 9:
 * lid open).
 */
export class MashTun implements SlaveSpec {
  readonly number = TUN_SLAVE;
  readonly #random: Random;
  #words: readonly number[] = [];
  #strokes = 65_500;

  constructor(random: Random) {
    this.#random = random;
  }

  /** Measures anew; the values as a reader has them. */
  measure(tS: number): Readonly<Record<string, number>> {
    const random = this.#random;
    const hundredths = Math.round(wandering(MASH_C, tS, random) * 100);
    const [high, low] = floatWords(wandering(HEIGHT_MM, tS, random));
    this.#strokes += random.integer(0, 3);
    const [rake, lid] = [random.integer(0, 1), random.chance(0.1) ? 1 : 0];
    const word = hundredths < 0 ? hundredths + 0x10000 : hundredths;
    this.#words = [word, low, high, Math.floor(this.#strokes / 65_536), this.#strokes % 65_536, rake + 512 * lid];
    const height = new DataView(Uint16Array.of(low, high).buffer).getFloat32(0, true);
    return { temp: hundredths * 0.01, height, strokes: this.#strokes, rake, lid };
  }

  read(table: number, address: number): number | null {
    return table === 3 ? (this.#words[address - TUN_ADDRESS] ?? null) : null;
  }
}

/** Its answers when all registers are asked for again and again; now and then it is busy (exception 6). */
export function mashTun(random: Random, lines: number): readonly SentLine[] {
  const tun = new MashTun(random);
  return Array.from({ length: lines + 1 }, (_, tS) => {
    const values = tun.measure(tS);
    if (tS > 0 && random.chance(0.02)) return { bytes: lineFrame(TUN_SLAVE, [0x83, 6]), values: null };
    return { bytes: lineFrame(TUN_SLAVE, replyTo(tun, [3, 0, TUN_ADDRESS, 0, 6])), values };
  });
}
