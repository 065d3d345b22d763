import { Board } from './board.ts';
import type { Random } from './random.ts';

/** What the probe's wires are tied to. */
export interface TemperatureSource {
  readonly probeC: number;
  readonly heaterW: number;
}

/** Noise of one conversion, K: common practice, no source. */
const NOISE_K = 0.02;

/** What the converter gives for an open input: its full scale, ohm. */
const FULL_SCALE_OHM = 400;

/** Platinum sensor of 100 ohm at 0 °C, from 0 °C up: R = 100 (1 + A t + B t²) (IEC 60751). */
export function platinumOhm(celsius: number): number {
  return 100 * (1 + 3.9083e-3 * celsius - 5.775e-7 * celsius * celsius);
}

/** Prints the resistance of its sensor, `R=116.08 ohm heater=on` with CR LF every 500 ms. */
export function temperatureBoard(source: TemperatureSource, random: Random): Board {
  const line = (ohm: number) => ({
    before: 'R=',
    number: ohm.toFixed(2),
    after: ` ohm heater=${source.heaterW > 0 ? 'on' : 'off'}`,
  });
  return new Board(
    {
      name: 'probe',
      periodS: 0.5,
      jitterS: 0.004,
      eol: '\r\n',
      bootLines: ['', 'pot probe, sketch 14', 'selftest ok, ref 2.497 V', 'heater lamp on pin 6', 'R every 500 ms'],
      bootGapS: 0.22,
      measure: () => line(platinumOhm(source.probeC + random.normal(0, NOISE_K))),
      wild: () => line(random.chance(0.7) ? FULL_SCALE_OHM : platinumOhm(source.probeC / 2)),
      wildShare: 0.003,
      garbledShare: 0.004,
    },
    random,
  );
}
