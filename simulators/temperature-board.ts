import { Board } from './board.ts';
import type { Random } from './random.ts';

/** What the probe's wires are tied to. */
export interface TemperatureSource {
  readonly probeC: number;
  readonly heaterW: number;
}

/** Noise of one conversion, K: common practice, no source. */
const NOISE_K = 0.02;

/** Reads when the converter sees an open input for one conversion: full scale. */
const FULL_SCALE_C = 409.55;

/** Prints `T=41.25 C heater=on` with CR LF every 500 ms. */
export function temperatureBoard(source: TemperatureSource, random: Random): Board {
  const line = (celsius: number) => ({
    before: 'T=',
    number: celsius.toFixed(2),
    after: ` C heater=${source.heaterW > 0 ? 'on' : 'off'}`,
  });
  return new Board(
    {
      name: 'probe',
      periodS: 0.5,
      jitterS: 0.004,
      eol: '\r\n',
      bootLines: ['', 'pot probe, sketch 14', 'selftest ok, ref 2.497 V', 'heater lamp on pin 6', 'T every 500 ms'],
      bootGapS: 0.22,
      measure: () => line(source.probeC + random.normal(0, NOISE_K)),
      wild: () => line(random.chance(0.7) ? FULL_SCALE_C : source.probeC / 2),
      wildShare: 0.003,
      garbledShare: 0.004,
    },
    random,
  );
}
