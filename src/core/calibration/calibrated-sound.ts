/** The speed of sound of a fluid, moved onto the value that was measured in the fluid itself. */
import type { Fluid } from '../fluids/fluid.ts';
import { type Constant, combined, type Property } from '../fluids/property.ts';
import type { EchoResult } from './certificate.ts';

/**
 * The measured value at its temperature, the slope of the description away from it: c(t) = c₀ + f(t) − f(t₀). The
 * uncertainty of c₀ itself is no part of `u`: it has components of its own. Null where the description knows no sound.
 */
export function calibratedSound(
  fluid: Fluid,
  tC: number,
  { soundMPerS, atC, uAtC }: Pick<EchoResult, 'soundMPerS' | 'atC' | 'uAtC'>,
): Property | null {
  const here = fluid.speedOfSound(tC);
  const there = fluid.speedOfSound(atC);
  if (here === null || there === null) return null;
  // What an error of the description does at both temperatures alike is gone.
  const constants: Constant[] = here.constants.map(({ name, u, perUnit }, i) => ({
    name,
    u,
    perUnit: perUnit - (there.constants[i]?.perUnit ?? 0),
  }));
  constants.push({ name: 'temperature of the calibration', u: uAtC, perUnit: -there.derivative });
  return {
    value: soundMPerS + here.value - there.value,
    derivative: here.derivative,
    u: combined(constants),
    constants,
    inRange: here.inRange && there.inRange,
    source: `echoes in the fluid at ${atC} °C; slope: ${here.source}`,
  };
}
