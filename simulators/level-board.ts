import { Board, type Line } from './board.ts';
import type { Random } from './random.ts';

/** What the transducer under the pot hears. */
export interface EchoSource {
  /** There and back, s. */
  readonly echoS: number;
  readonly surfaceSpeedMmPerS: number;
}

/** A 16 MHz timer: about 0.045 mm of oil a tick. */
const TIMER_TICK_S = 62.5e-9;

/** Scatter of one echo, 0.13 mm: common practice, no source. */
const NOISE_S = 180e-9;

/** Steep waves turn the echo away. */
const ROUGH_MM_PER_S = 40;

/** A later echo is taken for the first, or a bubble half way up. */
const WRONG_ECHOES = [2, 2, 3, 6, 0.5] as const;

/** Prints the time of the echo, `sonar;86.94;us;q=87` with LF every 150 ms; it knows nothing of sound. */
export function levelBoard(source: EchoSource, random: Random): Board {
  const measured = (echoS: number): Line => {
    const ticks = Math.round((echoS + random.normal(0, NOISE_S)) / TIMER_TICK_S);
    const quality = 90 - Math.abs(source.surfaceSpeedMmPerS) / 2 + random.normal(0, 2);
    return line((ticks * TIMER_TICK_S * 1e6).toFixed(2), quality);
  };
  return new Board(
    {
      name: 'sonar',
      periodS: 0.15,
      jitterS: 0.006,
      eol: '\n',
      bootLines: ['', 'sonar under the pot, rev C', 'cal;ok;us;q=--', 'wall echo nulled; gain 41 dB; go'],
      bootGapS: 0.35,
      measure: () => {
        const rough = Math.abs(source.surfaceSpeedMmPerS) > ROUGH_MM_PER_S;
        return random.chance(rough ? 0.05 : 0.001) ? line('---', 3) : measured(source.echoS);
      },
      wild: () => measured(source.echoS * (WRONG_ECHOES[random.integer(0, WRONG_ECHOES.length - 1)] ?? 2)),
      wildShare: 0.004,
      garbledShare: 0.002,
    },
    random,
  );
}

function line(number: string, quality: number): Line {
  const whole = Math.min(99, Math.max(0, Math.round(quality)));
  return { before: 'sonar;', number, after: `;us;q=${String(whole).padStart(2, '0')}` };
}
