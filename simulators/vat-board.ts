import type { Random } from './random.ts';
import { type SentLine, utf8, wordless } from './sent.ts';
import { wandering } from './wander.ts';

const LYE_C = { middle: 52, swing: 2, periodS: 90, noise: 0.03 };
const HEIGHT_MM = { middle: 81, swing: 1.5, periodS: 40, noise: 0.1 };

/**
 * The board of a soap maker's vat, once a second and ended by LF:
 * `{"n":17,"probe":{"t":52.13},"echo":[{"mm":81.4,"q":87}],"ok":true}`. Without an echo, `mm` is null.
 */
export function vatBoard(random: Random, lines: number): readonly SentLine[] {
  const chatter = [wordless('null,"q":4}]}\n'), wordless('vat board, echo gain 30\n'), wordless('{"boot":"ok"}\n')];
  return [...chatter, ...Array.from({ length: lines }, (_, tS) => vatLine(random, tS))];
}

function vatLine(random: Random, tS: number): SentLine {
  const temp = Number(wandering(LYE_C, tS, random).toFixed(2));
  const level = Number(wandering(HEIGHT_MM, tS, random).toFixed(2));
  const lost = random.chance(0.04);
  const strength = lost ? random.integer(0, 9) : random.integer(80, 95);
  const printed = { n: tS, probe: { t: temp }, echo: [{ mm: lost ? null : level, q: strength }], ok: !lost };
  return {
    bytes: utf8(`${JSON.stringify(printed)}\n`),
    values: lost ? { temp, strength } : { temp, level, strength },
  };
}
