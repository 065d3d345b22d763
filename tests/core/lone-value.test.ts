import { describe, expect, test } from 'vitest';
import { nothingLone, standsAlone } from '../../src/core/lone-value.ts';
import { testBench } from '../support/bench.ts';
import { CoreRig, noise } from '../support/core-rig.ts';

/** The positions of the values that stood alone. */
function lone(values: readonly number[], resolution = 0.01): number[] {
  const state = nothingLone();
  return values.flatMap((value, i) => (standsAlone(state, value, resolution) ? [i] : []));
}

const random = noise(11);
const calm = (n: number, at = 58) => Array.from({ length: n }, () => at + 0.05 * random());

describe('a value that stands alone', () => {
  test('a single jump is one, wherever it goes', () => {
    for (const wild of [98.3, 5.83, 583, -58.3, 57]) expect(lone([...calm(20), wild, ...calm(20)])).toEqual([20]);
  });

  test('two damaged ones in a row on different sides are both', () => {
    expect(lone([...calm(20), 98, 5, ...calm(20)])).toEqual([20, 21]);
  });

  test('a real step is believed from its second value on', () => {
    expect(lone([...calm(20), ...calm(20, 66)])).toEqual([20]);
  });

  test('a ramp that sets in after a constant value loses its first value at most', () => {
    const still = Array.from({ length: 20 }, () => 40);
    const ramp = Array.from({ length: 40 }, (_, i) => 40 + 0.3 * (i + 1));
    expect(lone([...still, ...ramp]).length).toBeLessThanOrEqual(1);
  });

  test('slosh of 10 mm that sets in and dies away loses its first two values at most', () => {
    const slosh = Array.from({ length: 100 }, (_, i) => 58 + 10 * Math.exp(-i / 30) * Math.sin((2 * Math.PI * i) / 5));
    const found = lone([...calm(20), ...slosh]);
    expect(found.length).toBeLessThanOrEqual(2);
    expect(found.every((i) => i < 25)).toBe(true);
  });

  test('a signal that swings to and fro is believed after its first three', () => {
    const swing = Array.from({ length: 60 }, (_, i) => (i % 2 === 0 ? 58 : 67));
    expect(lone([...calm(20), ...swing]).length).toBeLessThanOrEqual(3);
  });

  test('steps of a coarse sensor are none', () => {
    expect(
      lone(
        Array.from({ length: 60 }, (_, i) => (i % 13 < 6 ? 58 : 58.5)),
        0.5,
      ),
    ).toEqual([]);
  });

  test('nothing is doubted before the usual step is known', () => {
    expect(lone([58, 58.1, 90])).toEqual([]);
  });
});

describe('through the core', () => {
  /** Levels as text; the line of the fault is damaged in one place. */
  function samples(bench: typeof testBench, text: (mm: string) => string, damage: (line: string) => string) {
    const rig = new CoreRig(bench);
    rig.open('sonar');
    const sent = calm(40).map((mm) => mm.toFixed(2));
    sent.forEach((mm, i) => {
      rig.advanceTo(rig.tUs + 200_000);
      rig.line('sonar', i === 30 ? damage(text(mm)) : text(mm));
    });
    const out = rig.outputs.flatMap((one) => (one.kind === 'sample' && one.channel === 'level' ? [one] : []));
    return { sent, out };
  }

  const plain = (mm: string) => `sonar;${mm};mm;q=80`;

  test('no single damaged character of a line without check value makes a good value that was not sent', () => {
    const length = plain('58.00').length;
    let suspects = 0;
    for (let place = 0; place < length; place++) {
      for (const put of ['0', '9', '.', '-', ' ', ';', 'x']) {
        const { sent, out } = samples(testBench, plain, (line) => line.slice(0, place) + put + line.slice(place + 1));
        const near = sent.map(Number);
        for (const { value, quality, reason } of out) {
          if (quality !== 'good') {
            expect(['outlier', 'out-of-range']).toContain(reason);
            suspects++;
          }
          // What is nearer than ten usual steps to what was sent is noise to whoever reads it.
          else expect(near.some((mm) => Math.abs(mm - value) < 1)).toBe(true);
        }
      }
    }
    expect(suspects).toBeGreaterThan(5);
  });

  test('a line with a check value is believed at once, however far it jumps', () => {
    const bench: typeof testBench = {
      ...testBench,
      instruments: testBench.instruments.map((one) =>
        one.id === 'sonar'
          ? {
              ...one,
              driver: 'nmea',
              options: { signals: { level: { sentence: 'XDR', field: 2 } }, unchecked: 'discard' },
            }
          : one,
      ),
    };
    const sum = (body: string) => [...body].reduce((x, c) => x ^ c.charCodeAt(0), 0);
    const sentence = (mm: string) => {
      const body = `IIXDR,D,${mm}`;
      return `$${body}*${sum(body).toString(16).toUpperCase().padStart(2, '0')}`;
    };
    const { out } = samples(bench, sentence, () => sentence('98.00'));
    expect(out.map(({ quality }) => quality)).toEqual(Array.from({ length: 40 }, () => 'good'));
    expect(out[30]?.value).toBe(98);
  });
});
