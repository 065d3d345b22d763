/** A practitioner's example against the physics of the house. Common practice, no source; the vessels are invented. */
import { describe, expect, test } from 'vitest';
import { readQuantity } from '../../src/config/quantities.ts';
import { fluidFrom } from '../../src/core/fluids/fluid.ts';
import { mass } from '../../src/core/laws/amounts.ts';
import { STANDARD_GRAVITY_M_PER_S2 } from '../../src/core/laws/gravity.ts';
import { hydrostatic } from '../../src/core/laws/hydrostatic.ts';
import { currentLoop } from '../../src/core/laws/two-point.ts';
import { levelAtReference } from '../../src/core/vessels/level-at-reference.ts';
import { vesselFrom } from '../../src/core/vessels/vessel.ts';
import { FILLING, FIRST_READING, NO_SOURCE, OVERFLOW, REFILL } from '../reference/common-practice.ts';
import { TABLE_54D } from '../reference/petroleum.ts';
import { OIL } from './fluids/oils.ts';
import { slopeOf } from './fluids/slope-of.ts';

const oil = fluidFrom(OIL);

/** A pan of 45 L per metre of height with thin walls, and what is filled beside it. */
function filling(circuitLitres: number, linearPerK = 0) {
  return {
    vessel: vesselFrom({
      name: 'pan',
      shape: { kind: 'box', lengthMm: 300, widthMm: 150, heightMm: 140 },
      floorAtMm: 0,
      uVolumeShare: 0,
      wall: { linearPerK, uLinearPerK: 0, atC: 20 },
      sensor: { kind: 'known', alongMm: 0, acrossMm: 0 },
      tilt: null,
    }),
    fluid: oil,
    circuit: { states: [{ id: 'full', litres: circuitLitres, uLitres: 0 }], wall: null },
  };
}

/** The level of the same mass at another temperature, everything equally warm. */
function moved(of: ReturnType<typeof filling>, levelMm: number, fromC: number, toC: number) {
  const states = { circuitState: 'full', referenceCircuitState: 'full' };
  return levelAtReference(of, { levelMm, vesselC: fromC, circuitC: fromC, referenceC: toC, ...states });
}

/** Bare walls or aluminium, nothing beside the pan or a circuit as large as what is in it. */
const PLAUSIBLE = [filling(0), filling(0, 23e-6), filling(3.4), filling(3.4, 23e-6)];

describe(`the first reading (${NO_SOURCE})`, () => {
  const { levelMm, atC, windowC, fallsMm } = FIRST_READING;

  test('read at the warm end of its window is expected more than half a millimetre lower at the cold end', () => {
    for (const of of PLAUSIBLE) {
      const { value, inRange } = moved(of, levelMm, atC, windowC.low);
      expect(inRange).toBe(true);
      expect(levelMm - value).toBeGreaterThan(fallsMm);
      // By the volume coefficient alone, over all fluid, as the upper bound: no pan shows more.
      const litres = of.vessel.litresAt(levelMm, atC).value + (of.circuit.states[0]?.litres ?? 0);
      const perMm = of.vessel.litresAt(levelMm, atC).derivative;
      const most = (litres * oil.expansion(35).value * 10) / perMm;
      expect(levelMm - value).toBeLessThan(1.001 * most);
    }
  });

  test('and the reading at the cold end are the same filling, though raw they differ by more than the limit', () => {
    for (const of of PLAUSIBLE) {
      const cold = moved(of, levelMm, atC, windowC.low).value;
      expect(Math.abs(levelMm - cold)).toBeGreaterThan(fallsMm);
      const warmAt35 = moved(of, levelMm, atC, 35).value;
      const coldAt35 = moved(of, cold, windowC.low, 35).value;
      expect(warmAt35).toBeCloseTo(coldAt35, 9);
    }
  });
});

describe(`the refill (${NO_SOURCE})`, () => {
  const { moreL, usuallyL } = REFILL;
  const FRESH_C = 20;
  /** Litres poured at `FRESH_C` to replace litres measured hot. */
  const replaced = (hotL: number, hotC: number) => (hotL * oil.density(hotC).value) / oil.density(FRESH_C).value;

  test('stays in its usual range whether what came out was measured hot or has cooled', () => {
    // How far it has shrunk meanwhile comes from the printed tables of an independent edition, not from our own density.
    const vcf = (tC: number) => TABLE_54D.find((row) => row.at15KgPerM3 === 850 && row.tC === tC)?.vcf as number;
    for (const hotC of [30, 40, 60, 80, 100])
      for (const coldL of [usuallyL.low - moreL, 4.4, usuallyL.high - moreL]) {
        const hotL = (coldL * vcf(FRESH_C)) / vcf(hotC);
        expect(hotL).toBeGreaterThan(coldL);
        const refill = replaced(hotL, hotC) + moreL;
        expect(Math.abs(refill - (coldL + moreL))).toBeLessThan(1e-4);
        expect(refill).toBeGreaterThan(usuallyL.low - 1e-4);
        expect(refill).toBeLessThan(usuallyL.high + 1e-4);
        // The same fluid put on a scale: its mass does not know how warm it is.
        const kg = (hotL * oil.density(hotC).value) / 1000;
        const scale = mass({ kind: 'mass', airDensityKgPerM3: 0, maxLitres: 20 });
        expect(scale.at(kg, { densityKgPerM3: oil.density(FRESH_C).value }).value + moreL).toBeCloseTo(refill, 12);
      }
  });

  test('taken litre for litre from a hot measure would be too much, by a third of that half litre and more', () => {
    for (const hotL of [4.2, 5]) {
      const tooMuch = hotL - replaced(hotL, 75);
      expect(tooMuch).toBeGreaterThan(moreL / 3);
      expect(tooMuch).toBeLessThan(moreL / 2);
      // So the amount left out on purpose, the width of the usual range, hides it: only the calculation shows it.
      expect(tooMuch).toBeLessThan(usuallyL.high - usuallyL.low);
    }
    expect(replaced(5, FRESH_C)).toBe(5);
  });
});

describe(`filling under pressure (${NO_SOURCE})`, () => {
  const most = readQuantity(FILLING.most, 'pressure');
  const kPa = most.ok ? most.value : Number.NaN;

  test('is the same pressure however it is written', () => {
    expect(kPa).toBe(200);
    for (const [text, other] of [
      ['0.2 MPa', 200],
      ['2000 mbar', 200],
      ['29.0075475 psi', 200],
    ] as const) {
      const read = readQuantity(text, 'pressure');
      expect(read.ok && read.value).toBeCloseTo(other, 6);
    }
  });

  test('that reaches a level sensor at the floor is out of its range, never a level', () => {
    const law = hydrostatic({
      kind: 'hydrostatic',
      sensorMm: 0,
      airDensityKgPerM3: 1.2,
      validMm: { low: -10, high: 140 },
    });
    const context = { densityKgPerM3: oil.density(40).value, gravityMPerS2: STANDARD_GRAVITY_M_PER_S2 };
    const standing = law.at(0.6, context);
    expect(standing.flag).toBeNull();
    const filled = law.at(kPa, context);
    expect(filled).toMatchObject({ flag: 'out-of-range', derivative: 0 });
    expect(filled.value).toBeCloseTo(140, 9);
    // The column that such a pressure holds up is higher than a house: p = ρ g h.
    const columnM = (kPa * 1000) / (context.densityKgPerM3 * context.gravityMPerS2);
    expect(columnM).toBeGreaterThan(20);
    expect(standing.derivative * kPa).toBeCloseTo(columnM * 1000, -2);
  });

  test('is read by a gauge with a current loop, and told apart from a failed one', () => {
    const law = currentLoop({ kind: 'current-loop', at4: 0, at20: 400, unit: 'kPa' });
    expect(law.at(12, {})).toMatchObject({ value: kPa, flag: null });
    expect(law.at(12.001, {}).value).toBeGreaterThan(kPa);
    expect(law.at(3.5, {}).flag).toBe('broken-loop');
    expect(law.at(21.5, {}).flag).toBe('failure-current');
  });
});

describe(`the overflow (${NO_SOURCE})`, () => {
  const { levelMm, windowC } = FIRST_READING;
  const widthK = windowC.high - windowC.low;

  test('moves over the window of a reading by twice what a lip can tell, so its own window is at most half as wide', () => {
    expect(OVERFLOW.windowK).toBeLessThanOrEqual(widthK / 2);
    for (const of of PLAUSIBLE) {
      const at = (tC: number) => moved(of, levelMm, windowC.high, tC).value;
      expect(at(windowC.high) - at(windowC.low)).toBeGreaterThan(2 * OVERFLOW.lipMm);
      const perK = slopeOf(at, 35, 1);
      const narrowK = OVERFLOW.lipMm / perK;
      expect(narrowK).toBeLessThan(OVERFLOW.windowK);
      // Within that window it does work.
      expect(at(35 + narrowK / 2) - at(35 - narrowK / 2)).toBeCloseTo(OVERFLOW.lipMm, 3);
    }
  });

  test('is beaten by a compensated reading over the whole window, even with an oil that expands 7 percent more', () => {
    // Standard uncertainty of the expansion of an oil about its group: what compensation leaves over 10 K.
    for (const of of PLAUSIBLE) {
      const { constants } = moved(of, levelMm, windowC.high, windowC.low);
      const expansion = constants.find(({ name }) => name === 'expansion of this oil');
      const leftMm = Math.abs((expansion?.perUnit as number) * (expansion?.u as number));
      expect(leftMm).toBeGreaterThan(0);
      expect(leftMm).toBeLessThan(OVERFLOW.lipMm / 2);
    }
  });
});
