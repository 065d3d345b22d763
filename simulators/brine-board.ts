import type { Random } from './random.ts';
import { type SentLine, utf8, wordless } from './sent.ts';
import { wandering } from './wander.ts';

const BRINE_MM = { middle: 58, swing: 4, periodS: 80, noise: 0.15 };

/** The echo board of a brine tank, `sonar;62.31;mm;q=87` with LF every second; `---` where it hears nothing. */
export function brineBoard(random: Random, lines: number): readonly SentLine[] {
  const chatter = [';mm;q=88\n', 'brine board, gain 38\n', 'cal;ok;mm;q=--\n'].map(wordless);
  const talk = Array.from({ length: lines }, (_, tS) => {
    if (random.chance(0.03)) return wordless('sonar;---;mm;q=04\n');
    const mm = wandering(BRINE_MM, tS, random).toFixed(2);
    return { bytes: utf8(`sonar;${mm};mm;q=${random.integer(75, 95)}\n`), values: { level: Number(mm) } };
  });
  return [...chatter, ...talk];
}
