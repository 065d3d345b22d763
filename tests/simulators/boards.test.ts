import { describe, expect, test } from 'vitest';
import { type Corpus, renderCorpus } from '../../simulators/corpus.ts';
import { levelBoard } from '../../simulators/level-board.ts';
import { Random } from '../../simulators/random.ts';
import { platinumOhm } from '../../simulators/temperature-board.ts';

const SEED = 31;

/** What a careful reader takes from a line: its own reading of the two formats. */
const READ = {
  probe: /^R=(-?\d+\.\d\d) ohm heater=(?:on|off)$/,
  sonar: /^sonar;(\d+\.\d\d);us;q=\d\d$/,
} as const;

const EOL = { probe: '\r\n', sonar: '\n' } as const;

const corpora = {
  probe: renderCorpus({ board: 'probe', seed: SEED, seconds: 1500 }),
  sonar: renderCorpus({ board: 'sonar', seed: SEED, seconds: 700 }),
};

const text = (bytes: Uint8Array) => Buffer.from(bytes).toString('latin1');
const values = (corpus: Corpus, kind: string) =>
  corpus.pieces.filter((piece) => piece.kind === kind).map((piece) => piece.value ?? Number.NaN);

describe.each(['probe', 'sonar'] as const)(`the %s board (seed ${SEED})`, (name) => {
  const corpus = corpora[name];
  const printed = text(corpus.bytes);

  test('prints the same bytes for the same seed, and others for another', () => {
    const again = renderCorpus({ board: name, seed: SEED, seconds: 20 });
    expect(printed.startsWith(text(again.bytes))).toBe(true);
    const other = renderCorpus({ board: name, seed: SEED + 1, seconds: 20 });
    expect(text(other.bytes)).not.toBe(text(again.bytes));
  });

  test('starts with the rest of a line, noise bytes and several lines of chatter', () => {
    const kinds = corpus.pieces.map((piece) => piece.kind);
    expect(kinds[0]).toBe('half-line');
    const boot = corpus.pieces.filter((piece) => piece.kind === 'boot');
    expect(boot.length).toBeGreaterThanOrEqual(4);
    expect(boot[0]?.bytes.some((byte) => byte >= 0x80)).toBe(true);
    expect(kinds.lastIndexOf('boot')).toBe(boot.length);
    const last = boot.at(-1)?.atS ?? 0;
    expect(last).toBeGreaterThan(0.5);
    expect(last).toBeLessThan(2);
  });

  test('gives a careful reader of its lines exactly the numbers that it printed, and no others', () => {
    const read = printed.split(EOL[name]).flatMap((line) => READ[name].exec(line)?.[1] ?? []);
    const truth = corpus.pieces.flatMap((piece) => (piece.value === null ? [] : piece.value.toFixed(2)));
    expect(read).toEqual(truth);
    expect(read.length).toBeGreaterThan(2500);
  });

  test('ends every line in its own way', () => {
    const ends = printed.match(/\r?\n/g) ?? [];
    expect(new Set(ends)).toEqual(new Set([EOL[name]]));
  });

  test('garbles and invents a few lines in a thousand', () => {
    const count = corpus.pieces.length;
    for (const kind of ['garbled', 'wild']) {
      const share = corpus.pieces.filter((piece) => piece.kind === kind).length / count;
      expect(share).toBeGreaterThan(0.0005);
      expect(share).toBeLessThan(0.015);
    }
    const lostEnds = corpus.pieces.filter((piece) => piece.kind === 'garbled' && !text(piece.bytes).endsWith('\n'));
    expect(lostEnds.length).toBeGreaterThan(0);
  });

  test('a cut line stops inside its number, without a line end', () => {
    const [board, start] = [levelBoard({ echoS: 90e-6, surfaceSpeedMmPerS: 0 }, Random.of(SEED, 'cut')), 'sonar;'];
    for (let i = 0; i < 50; i += 1) {
      const cut = text(board.cutLine());
      expect(cut).toMatch(/^sonar;\d+\.?\d?$/);
      expect(cut.length).toBeGreaterThan(start.length);
    }
  });
});

test('the probe prints twice a second, the gauge between five and ten times', () => {
  const rate = (corpus: Corpus, seconds: number) => corpus.pieces.length / seconds;
  expect(rate(corpora.probe, 1500)).toBeCloseTo(2, 1);
  expect(rate(corpora.sonar, 700)).toBeGreaterThan(6);
  expect(rate(corpora.sonar, 700)).toBeLessThan(7);
});

test('wild values of the gauge are mostly echoes far too long, those of the probe are off by many ohms', () => {
  const wildTimes = values(corpora.sonar, 'wild');
  expect(wildTimes.filter((us) => us > 155).length).toBeGreaterThan(wildTimes.length / 2);
  for (const us of wildTimes) expect(Math.abs(us - 86)).toBeGreaterThan(28);
  for (const ohm of values(corpora.probe, 'wild')) expect(ohm < 112 || ohm === 400).toBe(true);
});

test('the probe prints the resistance of its sensor: points of the printed table of IEC 60751', () => {
  for (const [celsius, ohm] of [
    [0, 100],
    [20, 107.79],
    [50, 119.4],
    [100, 138.51],
    [150, 157.33],
  ] as const)
    expect(platinumOhm(celsius).toFixed(2)).toBe(ohm.toFixed(2));
});

test('the gauge scatters by 0.18 µs over a calm surface (seed 32)', () => {
  const board = levelBoard({ echoS: (2 * 0.06) / 1440, surfaceSpeedMmPerS: 0 }, Random.of(32, 'calm'));
  board.powerUp(0);
  const read: number[] = [];
  while (read.length < 4000) {
    const { kind, value } = board.print();
    if (kind === 'measured' && value !== null) read.push(value);
  }
  const mean = read.reduce((sum, us) => sum + us, 0) / read.length;
  const deviation = Math.sqrt(read.reduce((sum, us) => sum + (us - mean) ** 2, 0) / (read.length - 1));
  // 60 mm there and back at 1440 m/s
  expect(Math.abs(mean - 83.333)).toBeLessThan(0.02);
  expect(deviation).toBeGreaterThan(0.17);
  expect(deviation).toBeLessThan(0.195);
});

test('a rough surface loses echoes and lowers the echo quality (seed 33)', () => {
  const qualities = (surfaceSpeedMmPerS: number) => {
    const board = levelBoard({ echoS: 8e-5, surfaceSpeedMmPerS }, Random.of(33, 'rough'));
    board.powerUp(0);
    const pieces = Array.from({ length: 2000 }, () => board.print());
    const lost = pieces.filter((piece) => piece.kind === 'no-echo');
    for (const piece of lost) expect(piece.value).toBeNull();
    const q = pieces
      .filter((piece) => piece.kind === 'measured')
      .map((piece) => Number(/q=(\d+)/.exec(text(piece.bytes))?.[1]));
    return { lost: lost.length, quality: q.reduce((sum, x) => sum + x, 0) / q.length };
  };
  const [calm, rough] = [qualities(0), qualities(60)];
  expect(rough.lost).toBeGreaterThan(10 * Math.max(1, calm.lost / 2));
  expect(rough.quality).toBeLessThan(calm.quality - 20);
});

test('a board without power is silent, and starts anew when it has power again', () => {
  const board = levelBoard({ echoS: 8e-5, surfaceSpeedMmPerS: 0 }, Random.of(34, 'power'));
  expect(board.nextAtS()).toBe(Number.POSITIVE_INFINITY);
  board.powerUp(3);
  expect(board.nextAtS()).toBe(3);
  for (let i = 0; i < 10; i += 1) board.print();
  expect(board.nextAtS()).toBeGreaterThan(3);
  board.powerDown();
  expect(board.nextAtS()).toBe(Number.POSITIVE_INFINITY);
  board.powerUp(9);
  expect(board.print().kind).toBe('half-line');
  expect(board.print().kind).toBe('boot');
});
