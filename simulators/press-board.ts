import type { Random } from './random.ts';
import { type SentLine, utf8, wordless } from './sent.ts';
import { wandering } from './wander.ts';

const JUICE_C = { middle: 41, swing: 3, periodS: 140, noise: 0.04 };
const HEIGHT_MM = { middle: 62, swing: 2.5, periodS: 55, noise: 0.12 };

/** CRC-16 with polynomial x¹⁶ + x¹⁵ + x² + 1, bits reversed, from 0xFFFF: by division of the message's bits. */
export function frameCheck(bytes: Uint8Array): string {
  let register = 0xffff;
  for (const byte of bytes) {
    for (let bit = 0; bit < 8; bit += 1) {
      const out = (register ^ (byte >> bit)) & 1;
      register >>= 1;
      if (out === 1) register ^= 0xa001;
    }
  }
  return register.toString(16).toUpperCase().padStart(4, '0');
}

/**
 * The board of a fruit press, once a second: `n=17;T=41,25 °C;D=62,31mm*1B2C`, its pairs in whatever order its tasks
 * finish, with a decimal comma. Without an echo it prints `D=---` or leaves the pair out.
 */
export function pressBoard(random: Random, lines: number): readonly SentLine[] {
  const chatter = ['mm*77A0', 'press board 2', 'wait for echo', 'run'].map((text) => wordless(`${text}\r\n`));
  return [...chatter, ...Array.from({ length: lines }, (_, tS) => pressLine(random, tS))];
}

function pressLine(random: Random, tS: number): SentLine {
  const celsius = wandering(JUICE_C, tS, random).toFixed(2);
  const mm = wandering(HEIGHT_MM, tS, random).toFixed(2);
  const echo = random.chance(0.03) ? 'none' : random.chance(0.03) ? 'left out' : 'heard';
  const pairs = [`n=${tS}`, `T=${celsius} °C`];
  if (echo !== 'left out') pairs.push(echo === 'heard' ? `D=${mm}mm` : 'D=---');
  const turn = random.integer(0, pairs.length - 1);
  const payload = [...pairs.slice(turn), ...pairs.slice(0, turn)].join(';').replaceAll('.', ',');
  return {
    bytes: utf8(`${payload}*${frameCheck(utf8(payload))}\r\n`),
    values: echo === 'none' ? null : { temp: Number(celsius), ...(echo === 'heard' ? { level: Number(mm) } : {}) },
  };
}
