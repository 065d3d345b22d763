import type { Random } from './random.ts';
import { type SentLine, utf8, wordless } from './sent.ts';
import { wandering } from './wander.ts';

const OVEN_C = { middle: 46, swing: 9, periodS: 100, noise: 0.05 };

/** The board of a drying oven, `T=41.25 C heater=on` with CR LF every second; `T=-- C` while it measures its own zero. */
export function ovenBoard(random: Random, lines: number): readonly SentLine[] {
  const chatter = ['C heater=off', 'oven board 4', 'zero ok, 2 points'].map((text) => wordless(`${text}\r\n`));
  const talk = Array.from({ length: lines }, (_, tS) => {
    if (random.chance(0.02)) return wordless('T=-- C heater=off\r\n');
    const celsius = wandering(OVEN_C, tS, random).toFixed(2);
    const heater = Number(celsius) < OVEN_C.middle ? 'on' : 'off';
    return { bytes: utf8(`T=${celsius} C heater=${heater}\r\n`), values: { temp: Number(celsius) } };
  });
  return [...chatter, ...talk];
}
