/** An instrument that speaks only when asked, from the question that the core sends to the sample that comes out. */
import { describe, expect, test } from 'vitest';
import { drivers } from '../../drivers/index.ts';
import { HexGauge } from '../../simulators/hex-gauge.ts';
import { Random } from '../../simulators/random.ts';
import type { BenchDescription } from '../../src/core/description.ts';
import type { Output } from '../../src/core/events.ts';
import { testBench } from '../support/bench.ts';
import { CoreRig } from '../support/core-rig.ts';
import { recordingOf } from './conformance.ts';

const INTERVAL = 1_000_000;
const WITHIN = 300_000;
const SEED = 5;

function gaugeBench(): BenchDescription {
  const [probe, sonar] = testBench.instruments;
  const [temperature, level] = testBench.channels;
  if (!probe || !sonar || !temperature || !level) throw new Error('the test bench has changed');
  const options: unknown = drivers.hexbytes?.options.parse(recordingOf('hexbytes').options);
  return {
    ...testBench,
    instruments: [probe, { ...sonar, driver: 'hexbytes', options, intervalUs: INTERVAL }],
    channels: [temperature, { ...level, intervalUs: INTERVAL }],
  };
}

interface Heard {
  readonly askedUs: number[];
  readonly levels: { readonly tUs: number; readonly value: number }[];
  readonly truth: number[];
  readonly discarded: string[];
}

/** The gauge answers each question `delays(index)` µs after it; null for never. The link takes the first answer. */
function converse(seconds: number, delays: (index: number) => number | null): Heard {
  const rig = new CoreRig(gaugeBench());
  const gauge = new HexGauge(Random.of(SEED, 'asked'));
  const heard: Heard = { askedUs: [], levels: [], truth: [], discarded: [] };
  const coming: { atUs: number; line: Uint8Array }[] = [];
  const follow = (outputs: readonly Output[]): void => {
    for (const output of outputs) {
      if (output.kind === 'discarded') heard.discarded.push(`${output.reason} at ${rig.tUs / 1000}`);
      if (output.kind === 'sample') heard.levels.push({ tUs: rig.tUs, value: output.value });
      if (output.kind !== 'send') continue;
      const { bytes, values } = gauge.answer(new TextDecoder().decode(output.bytes));
      const delay = delays(heard.askedUs.length);
      if (delay !== null && heard.askedUs.length > 0)
        coming.push({ atUs: rig.tUs + delay, line: bytes.subarray(0, -1) });
      heard.askedUs.push(rig.tUs);
      heard.truth.push(values?.level ?? Number.NaN);
    }
  };
  follow(
    rig.admit({ kind: 'link', instrument: 'sonar', state: 'open', reason: 'connected', connection: 1, detail: '' }),
  );
  const endUs = seconds * 1e6;
  for (;;) {
    const next = coming.toSorted((a, b) => a.atUs - b.atUs)[0];
    const dueUs = Math.min(rig.wakeAtUs ?? endUs, next?.atUs ?? endUs);
    if (dueUs >= endUs) return heard;
    rig.tUs = Math.max(rig.tUs, dueUs);
    if (next !== undefined && next.atUs === dueUs) {
      coming.splice(coming.indexOf(next), 1);
      follow(rig.line('sonar', next.line));
    } else follow(rig.admit({ kind: 'tick' }));
  }
}

test('it is asked when the link opens, and then in its interval; each answer gives its sample', () => {
  const { askedUs, levels, truth, discarded } = converse(10, () => 40_000);
  expect(askedUs.slice(0, 4)).toEqual([0, 600_000, 1_600_000, 2_600_000]);
  expect(levels.map(({ value }) => value)).toEqual(truth.slice(1, 1 + levels.length));
  expect(levels.map(({ tUs }) => tUs)).toEqual(askedUs.slice(1).map((tUs) => tUs + 40_000));
  expect(levels.length).toBeGreaterThan(8);
  expect(discarded).toEqual([]);
});

test('silence is counted as no-answer at the limit to the µs, and it is asked again', () => {
  const { askedUs, levels, discarded } = converse(4, () => null);
  expect(levels).toEqual([]);
  expect(discarded).toEqual(['no-answer at 900', 'no-answer at 1900', 'no-answer at 2900', 'no-answer at 3900']);
  expect(askedUs).toEqual([0, 600_000, 1_600_000, 2_600_000, 3_600_000]);
});

describe('an answer that comes too late', () => {
  test.each([0.1, 0.5, 0.75, 1.2, 2.5])(
    'by %d s is counted as unasked, and no level stands at a wrong time',
    (lateS) => {
      const { levels, truth, askedUs, discarded } = converse(12, (index) =>
        index === 4 ? WITHIN + lateS * 1e6 : 30_000,
      );
      expect(discarded).toContain('no-answer at 3900');
      expect(discarded.some((one) => one.startsWith('unasked'))).toBe(true);
      for (const { tUs, value } of levels) {
        const question = askedUs.findLastIndex((atUs) => atUs <= tUs);
        expect(value).toBe(truth[question]);
      }
      expect(levels.length).toBeGreaterThan(5);
    },
  );
});

test('what comes before the first question of a connection is unasked', () => {
  const rig = new CoreRig(gaugeBench());
  const line = new HexGauge(Random.of(SEED, 'early')).answer('READ\r').bytes.subarray(0, -1);
  rig.open('sonar');
  const reasons = rig.line('sonar', line).map((output) => (output.kind === 'discarded' ? output.reason : output.kind));
  expect(reasons).toContain('unasked');
  expect(reasons).not.toContain('sample');
});
