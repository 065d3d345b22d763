/** Speed of sound in a fluid over temperature. */
import type { SoundDescription } from './description.ts';
import type { Curve, CurveConstant } from './property.ts';
import { tableCurve } from './table.ts';
import { waterSound } from './water.ts';

/** Speeds in m/s, slopes per K. Throws a RangeError where the description cannot hold. */
export function soundCurve(sound: SoundDescription): Curve {
  switch (sound.kind) {
    case 'water':
      return waterSound(sound.uMPerS);
    case 'table':
      return tableCurve(
        sound.points.map(({ tC, mPerS }) => [tC, mPerS]),
        sound.uMPerS,
        sound.source,
      );
    case 'linear':
      return straight(sound, sound.mPerS, [{ name: 'speed of sound', u: sound.uMPerS, perUnit: 1, slopePerUnit: 0 }]);
    case 'calibrated': {
      const mPerS = speedFromEcho(sound.lengthMm, sound.echoUs);
      return straight(sound, mPerS, [
        { name: 'calibration length', u: sound.uLengthMm, perUnit: mPerS / sound.lengthMm, slopePerUnit: 0 },
        { name: 'calibration echo time', u: sound.uEchoUs, perUnit: -mPerS / sound.echoUs, slopePerUnit: 0 },
        { name: 'calibration temperature', u: sound.uAtC, perUnit: -sound.perK, slopePerUnit: 0 },
      ]);
    }
  }
}

/** Speed, m/s, of an echo that travelled `lengthMm` there and back in `echoUs`. */
export function speedFromEcho(lengthMm: number, echoUs: number): number {
  if (!(lengthMm > 0 && echoUs > 0)) throw new RangeError('length and echo time of a calibration must be above 0');
  return (2000 * lengthMm) / echoUs;
}

type Straight = Extract<SoundDescription, { kind: 'linear' | 'calibrated' }>;

function straight(sound: Straight, mPerS: number, constants: readonly CurveConstant[]): Curve {
  const { atC, perK, uPerK, lowC, highC, source } = sound;
  const speedAt = (tC: number) => mPerS + perK * (tC - atC);
  if (!(lowC < highC)) throw new RangeError('the lowest temperature must lie below the highest');
  if (!(speedAt(lowC) > 0 && speedAt(highC) > 0))
    throw new RangeError(`the speed of sound must stay above 0 m/s from ${lowC} to ${highC} °C`);
  return {
    lowC,
    highC,
    source,
    covered: true,
    at: (tC) => ({
      value: speedAt(tC),
      slope: perK,
      curvature: 0,
      constants: [
        ...constants,
        { name: 'temperature coefficient of the speed of sound', u: uPerK, perUnit: tC - atC, slopePerUnit: 1 },
      ],
    }),
  };
}
