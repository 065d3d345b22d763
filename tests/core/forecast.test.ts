import { describe, expect, test } from 'vitest';
import {
  emptyFluidTemperature,
  type FluidTemperatureState,
  fluidAt,
  hearProbe,
} from '../../src/core/fluid-temperature.ts';
import { approachOf, timeTo } from '../../src/core/forecast.ts';
import { gaussian } from '../support/level-rig.ts';

interface Warming {
  readonly endC?: number;
  readonly tauS?: number;
  readonly untilS?: number;
  readonly lagS?: number;
  readonly noiseK?: number;
  readonly stepK?: number;
  readonly startC?: number;
}

/** A probe with a lag in fluid that approaches an end; twice a second. */
function heard(over: Warming, fluidC?: (tS: number) => number): { state: FluidTemperatureState; tUs: number } {
  const { endC = 60, tauS = 120, untilS = 60, lagS = 0, noiseK = 0.02, stepK = 0.01, startC = 20 } = over;
  const fluid = fluidC ?? ((tS: number) => endC - (endC - startC) * Math.exp(-tS / tauS));
  const random = gaussian(3);
  const state = emptyFluidTemperature();
  let probeC = fluid(0);
  let tUs = 0;
  for (let tS = 0; tS <= untilS; tS += 0.5) {
    // dT_p/dt = (T − T_p)/τ in small steps.
    if (lagS > 0) for (let k = 0; k < 50; k++) probeC += (0.01 / lagS) * (fluid(tS - 0.5 + 0.01 * k) - probeC);
    else probeC = fluid(tS);
    tUs = Math.round(tS * 1e6);
    hearProbe(state, tUs, Math.round((probeC + noiseK * random()) / stepK) * stepK, lagS, stepK);
  }
  return { state, tUs };
}

describe('the temperature of the fluid from that of a slow probe', () => {
  test.each([2, 8, 15])('with a lag of %d s comes out where the probe is behind by slope times lag', (lagS) => {
    const { state, tUs } = heard({ lagS, untilS: 90 });
    const fluidC = 60 - 40 * Math.exp(-90 / 120);
    const behindK = (40 / 120) * Math.exp(-90 / 120) * lagS;
    expect(Math.abs((fluidAt(state, tUs) ?? 0) - fluidC)).toBeLessThan(0.15 * behindK + 0.1);
  });

  test('follows a change of load within a few seconds, and averages noise while it runs straight', () => {
    const bend = (tS: number) => 50 + (tS < 60 ? 0.2 * tS : 12 - 0.1 * (tS - 60));
    const { state, tUs } = heard({ untilS: 75, noiseK: 0.03 }, bend);
    expect(Math.abs((fluidAt(state, tUs) ?? 0) - bend(75))).toBeLessThan(0.15);
    expect(state.now?.perS).toBeLessThan(0);
    const still = heard({ untilS: 60, noiseK: 0.1 }, () => 50).state;
    expect(still.now?.u).toBeLessThan(0.1);
  });
});

describe('forecast', () => {
  // Newton's law of heating: T(t) = end − (end − start)·exp(−t/τ), solved for t.
  test.each([
    [60, 120, 60, 46, 0],
    [80, 240, 60, 46, 0],
    [52, 90, 60, 46, 0],
    [70, 200, 80, 46, 8],
  ])(
    'towards %d °C with %d s, after %d s: time to %d °C with a lag of %d s within 15 %',
    (endC, tauS, nowS, targetC, lagS) => {
      const { state, tUs } = heard({ endC, tauS, untilS: nowS, lagS });
      const trueS = -tauS * Math.log((endC - targetC) / (endC - 20)) - nowS;
      const until = timeTo(approachOf(state), targetC, tUs);
      if (until === null || until === 'never') throw new Error(`no forecast: ${until}`);
      expect(Math.abs(until.s - trueS)).toBeLessThan(0.15 * trueS);
      expect(until.lowS).toBeLessThanOrEqual(trueS);
      if (until.highS !== null) expect(until.highS).toBeGreaterThanOrEqual(trueS);
    },
  );

  test('of cooling down to the window again', () => {
    const { state, tUs } = heard({ endC: 20, startC: 80, tauS: 300, untilS: 100 });
    const trueS = -300 * Math.log((54 - 20) / 60) - 100;
    const until = timeTo(approachOf(state), 54, tUs);
    if (until === null || until === 'never') throw new Error(`no forecast: ${until}`);
    expect(Math.abs(until.s - trueS)).toBeLessThan(0.15 * trueS);
  });

  test('after a change of load rests on what came after it', () => {
    const turned = (tS: number) =>
      tS < 100 ? 50 - 30 * Math.exp(-tS / 100) : 90 - (90 - 38.96) * Math.exp(-(tS - 100) / 100);
    const { state, tUs } = heard({ untilS: 160 }, turned);
    const until = timeTo(approachOf(state), 75, tUs);
    const trueS = -100 * Math.log(15 / (90 - 38.96)) - 60;
    if (until === null || until === 'never') throw new Error(`no forecast: ${until}`);
    expect(Math.abs(until.s - trueS)).toBeLessThan(0.2 * trueS);
  });

  test('what levels off below the window will not get there at this rate, and what moves away neither', () => {
    const { state, tUs } = heard({ endC: 40, tauS: 60, untilS: 150 });
    expect(timeTo(approachOf(state), 46, tUs)).toBe('never');
    const warming = heard({});
    expect(timeTo(approachOf(warming.state), 15, warming.tUs)).toBe('never');
  });

  test('noise alone forecasts nothing', () => {
    const { state, tUs } = heard({ noiseK: 0.2, untilS: 30 }, () => 20);
    expect(timeTo(approachOf(state), 46, tUs)).not.toMatchObject({ s: expect.any(Number), highS: expect.any(Number) });
    expect(approachOf(emptyFluidTemperature())).toBeNull();
    expect(timeTo(null, 46, 0)).toBeNull();
  });
});
