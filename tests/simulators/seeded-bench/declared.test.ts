import { expect, test } from 'vitest';
import { soundMPerS } from '../../../simulators/fluid.ts';
import { drawParameters } from '../../../simulators/seeded-bench/parameters.ts';
import { runWorld } from '../../../simulators/seeded-bench/world.ts';

/**
 * What the owner works out from a noise-free signal and a probe without lag, against the truth, in declared standard
 * uncertainties.
 */
function errorInStandardUncertainties(seed: number, awayK: number): number {
  const drawn = drawParameters(seed);
  const c = drawn.declared.referenceC + awayK;
  const p = { ...drawn, startC: c, lastsS: 1 };
  const { declared: d, gauge, probe } = p;
  const world = runWorld(p, []);
  const trueMm = world.levelMm[0] as number;
  const probeC = c + probe.offsetK;
  const us = (2000 * (trueMm + gauge.offsetMm)) / soundMPerS(p.fluid, c);
  const declaredSound = d.soundMPerS + d.soundPerK * (probeC - d.soundAtC);
  const echo = gauge.kind !== 'float';
  const shown = echo ? (us * declaredSound) / 2000 : trueMm + gauge.offsetMm;
  const away = probeC - d.referenceC;
  const error = shown - d.slopeMmPerK * away - (world.plateauMm[0] as number);
  const perSound = echo ? trueMm / declaredSound : 0;
  const u = Math.hypot(
    d.uGaugeMm,
    (perSound * d.soundPerK - d.slopeMmPerK) * d.uProbeK,
    d.uSlopeMmPerK * away,
    perSound * d.uSoundMPerS,
    perSound * (probeC - d.soundAtC) * d.uSoundPerK,
  );
  return error / u;
}

test.each([-4, 0, 4])('errors of the truth are those that the owner declares, %s K from the reference', (awayK) => {
  const n = 2000;
  const z = Array.from({ length: n }, (_, i) => errorInStandardUncertainties(i + 1, awayK));
  const mean = z.reduce((sum, one) => sum + one, 0) / n;
  const squares = z.reduce((sum, one) => sum + one * one, 0) / n;
  // Four standard errors of the mean and of the mean square of standard normal deviates.
  expect(Math.abs(mean)).toBeLessThan(4 / Math.sqrt(n));
  expect(Math.abs(squares - 1)).toBeLessThan(4 * Math.sqrt(2 / n));
});
