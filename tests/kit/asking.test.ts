import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { type Asking, NOTHING_ASKED, pollAsking, takeAnswer } from '../../src/kit/asking.ts';

const SEED = Number(process.env.STILLWELL_SEED ?? 1);
const WITHIN = 300_000;
const INTERVAL = 1_000_000;
const QUESTIONS = { bytes: Uint8Array.of(63), withinUs: WITHIN, waitUs: 0 };

interface Story {
  readonly askedUs: number[];
  readonly silentUs: number[];
  /** Number of the question that the answer was given to, and of the question that it was taken for. */
  readonly taken: { readonly of: number; readonly as: number }[];
  unasked: number;
}

/** @param answers when each question is answered, µs after it; null for never. In order, as from one instrument. */
function converse(answers: readonly (number | null)[], questions = QUESTIONS, intervalUs = INTERVAL): Story {
  const story: Story = { askedUs: [], silentUs: [], taken: [], unasked: 0 };
  const coming: { readonly atUs: number; readonly of: number }[] = [];
  let asking: Asking = NOTHING_ASKED;
  let wakeUs: number | null = 0;
  let freeUs = 0;
  while (story.askedUs.length <= answers.length && wakeUs !== null) {
    const next = coming[0];
    if (next !== undefined && next.atUs <= wakeUs) {
      coming.shift();
      const answer = takeAnswer(asking, next.atUs);
      asking = structuredClone(answer.asking);
      if (answer.counts) story.taken.push({ of: next.of, as: story.askedUs.length - 1 });
      else story.unasked += 1;
      continue;
    }
    const polled = pollAsking(asking, wakeUs, questions, intervalUs);
    if (polled.items?.length) story.silentUs.push(wakeUs);
    if (polled.send.length > 0) {
      const delay = answers[story.askedUs.length] ?? null;
      if (delay !== null) {
        freeUs = Math.max(freeUs + 20_000, wakeUs + delay);
        coming.push({ atUs: freeUs, of: story.askedUs.length });
      }
      story.askedUs.push(wakeUs);
    }
    asking = structuredClone(polled.state);
    wakeUs = polled.wakeAtUs;
  }
  return story;
}

const prompt = (count: number): number[] => Array.from({ length: count }, () => 20_000);

test('it asks at once, soon again for the answer that the link takes for a cut line, then at its interval', () => {
  const { askedUs, taken, silentUs } = converse([null, ...prompt(4)]);
  expect(askedUs).toEqual([0, 600_000, 1_600_000, 2_600_000, 3_600_000, 4_600_000]);
  expect(taken.map(({ of }) => of)).toEqual([1, 2, 3, 4]);
  expect(silentUs).toEqual([]);
});

test('a board that restarts when opened is given time first', () => {
  expect(converse([null, 20_000], { ...QUESTIONS, waitUs: 2_000_000 }).askedUs[0]).toBe(2_000_000);
});

test('silence is reported at the exact limit, and the question repeated at the interval', () => {
  const { askedUs, silentUs } = converse([null, null, null, null]);
  expect(askedUs).toEqual([0, 600_000, 1_600_000, 2_600_000, 3_600_000]);
  expect(silentUs).toEqual([900_000, 1_900_000, 2_900_000]);
});

test('an answer at the very limit counts, one a µs later does not', () => {
  expect(converse([null, WITHIN, 20_000]).taken.map(({ of }) => of)).toContain(1);
  const late = converse([null, WITHIN + 1, 20_000, 20_000]);
  expect(late.taken.map(({ of }) => of)).toEqual([2, 3]);
  expect(late.unasked).toBe(1);
});

test('a late answer does not count even if the wake-up is later still', () => {
  const first = pollAsking(NOTHING_ASKED, 0, QUESTIONS, INTERVAL).state;
  const asked = pollAsking(first, 600_000, QUESTIONS, INTERVAL).state;
  expect(takeAnswer(asked, 600_000 + WITHIN).counts).toBe(true);
  expect(takeAnswer(asked, 600_000 + WITHIN + 1).counts).toBe(false);
});

test('with an interval shorter than the limit it asks as fast as the limit allows', () => {
  expect(converse([null, ...prompt(3)], QUESTIONS, 50_000).askedUs).toEqual([
    0, 600_000, 900_000, 1_200_000, 1_500_000,
  ]);
});

describe('an answer is never taken for that of another question', () => {
  test.each([310, 500, 700, 900, 1_100, 1_290, 1_310, 2_500, 7_777])('when one comes %d ms late', (lateMs) => {
    const { taken, askedUs } = converse([null, ...prompt(3), lateMs * 1000, ...prompt(20)]);
    for (const { of, as } of taken) expect(as).toBe(of);
    expect(taken.length).toBeGreaterThan(askedUs.length - 6 - Math.ceil((2 * lateMs) / 1000));
  });

  test(`when answers are lost, or held up one at a time (seed ${SEED})`, () => {
    const answer = fc.oneof(
      { weight: 6, arbitrary: fc.integer({ min: 1_000, max: 250_000 }) },
      { weight: 1, arbitrary: fc.constant(null) },
    );
    const calm = fc.array(answer, { minLength: 12, maxLength: 14 });
    const held = fc.integer({ min: WITHIN, max: 9_000_000 });
    let taken = 0;
    fc.assert(
      fc.property(calm, held, calm, held, calm, (a, first, b, second, c) => {
        const story = converse([null, ...a, first, ...b, second, ...c]);
        for (const { of, as } of story.taken) expect(as).toBe(of);
        taken += story.taken.length;
      }),
      { seed: SEED, numRuns: 500 },
    );
    expect(taken).toBeGreaterThan(4_000);
  });

  test('when every line comes twice', () => {
    let asking: Asking = NOTHING_ASKED;
    const seen: boolean[] = [];
    for (let wakeUs = 0; wakeUs < 8_000_000; ) {
      const polled = pollAsking(asking, wakeUs, QUESTIONS, INTERVAL);
      asking = polled.state;
      if (polled.send.length > 0 && wakeUs > 0) {
        for (const afterUs of [10_000, 20_000]) {
          const { asking: next, counts } = takeAnswer(asking, wakeUs + afterUs);
          asking = next;
          seen.push(counts);
        }
      }
      wakeUs = polled.wakeAtUs ?? 9e9;
    }
    expect(seen.slice(0, 6)).toEqual([true, false, true, false, true, false]);
  });
});

test('nobody is asked before the first question, so nothing counts', () => {
  expect(takeAnswer(NOTHING_ASKED, 5)).toEqual({ asking: NOTHING_ASKED, counts: false });
});
