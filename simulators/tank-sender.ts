import type { Random } from './random.ts';
import { type SentLine, utf8, wordless } from './sent.ts';
import { wandering } from './wander.ts';

const OIL_C = { middle: 48, swing: 4, periodS: 120, noise: 0.05 };
const OIL_M = { middle: 0.064, swing: 0.002, periodS: 50, noise: 0.0001 };
const RIVER_C = { middle: 11, swing: 0.5, periodS: 200, noise: 0.05 };

/** NMEA 0183: `$`, fields with commas between, `*`, the exclusive or of all between as two digits, CR LF. */
export function sentence(...fields: readonly string[]): string {
  const body = fields.join(',');
  let sum = 0;
  for (const byte of utf8(body)) sum ^= byte;
  return `$${body}*${(sum >> 4).toString(16).toUpperCase()}${(sum & 15).toString(16).toUpperCase()}\r\n`;
}

/**
 * The oil tank's sender on a ferry, on a line that other instruments speak on too. XDR groups are type, value, unit,
 * name: C in degrees, D in metres; an empty value where there is none. MTW is the temperature of the water outside.
 */
export function tankSender(random: Random, lines: number): readonly SentLine[] {
  const talk = Array.from({ length: lines }, (_, tS) => {
    if (tS % 7 === 3) return wordless(sentence('IITXT', '01', '01', '02', 'PUMP IDLE'));
    if (tS % 5 === 2) {
      const river = wandering(RIVER_C, tS, random).toFixed(1);
      return { bytes: utf8(sentence('IIMTW', river, 'C')), values: { water: Number(river) } };
    }
    const celsius = wandering(OIL_C, tS, random).toFixed(2);
    const metres = random.chance(0.05) ? '' : wandering(OIL_M, tS, random).toFixed(5);
    return {
      bytes: utf8(sentence('IIXDR', 'C', celsius, 'C', 'OIL', 'D', metres, 'M', 'SUMP')),
      values: { temp: Number(celsius), ...(metres === '' ? {} : { level: Number(metres) }) },
    };
  });
  return [wordless('C,48.1,C,OIL,D,,M,SUMP*10\r\n'), ...talk];
}
