import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import type { FrameStage } from '../../src/links/contract.ts';
import { lineStage } from '../../src/links/line-stage.ts';
import { CAP_BYTES, CORPORA } from './corpora.ts';
import { bytes, latin1 } from './listener.ts';

const SEED = Number(process.env.STILLWELL_SEED ?? Date.now() % 1_000_000_007);

type Told = readonly ['frame', string] | readonly ['first-partial' | 'cut-tail' | 'too-long', number, string];

function recording(capBytes: number): { stage: FrameStage; told: Told[] } {
  const told: Told[] = [];
  const stage = lineStage(capBytes, {
    onFrame: (frame) => told.push(['frame', latin1(frame)]),
    onDiscard: (reason, count, head) => told.push([reason, count, latin1(head)]),
  });
  return { stage, told };
}

function run(chunks: readonly Uint8Array[], capBytes = CAP_BYTES): Told[] {
  const { stage, told } = recording(capBytes);
  for (const chunk of chunks) stage.push(chunk);
  stage.end();
  return told;
}

/** The same rules over the whole text at once, written another way. */
function expected(text: string, capBytes = CAP_BYTES): Told[] {
  const pieces = text.split(/[\r\n]/);
  return pieces.flatMap((piece, index): Told[] => {
    if (piece === '') return [];
    const head = piece.slice(0, 64);
    if (piece.length > capBytes) return [['too-long', piece.length, head]];
    if (index === pieces.length - 1) return [['cut-tail', piece.length, head]];
    return [index === 0 ? ['first-partial', piece.length, head] : ['frame', piece]];
  });
}

function cut(whole: Uint8Array, at: readonly number[]): Uint8Array[] {
  const edges = [0, ...at, whole.length];
  return edges.slice(1).map((edge, i) => whole.subarray(edges[i], edge));
}

describe('the line stage', () => {
  it('S10: gives the lines that the examples show, whatever ends them', () => {
    expect(run([bytes('lf a line\r\nT=1\rT=2\n\rT=3\n\nT=4')])).toEqual([
      ['first-partial', 9, 'lf a line'],
      ['frame', 'T=1'],
      ['frame', 'T=2'],
      ['frame', 'T=3'],
      ['cut-tail', 3, 'T=4'],
    ]);
  });

  describe.each(Object.entries(CORPORA))('with %s', (_, text) => {
    const whole = bytes(text);

    it('tells what the rules say', () => {
      expect(run([whole])).toEqual(expected(text));
    });

    it('tells the same wherever the stream is cut in two', () => {
      for (let at = 0; at <= whole.length; at++) {
        expect([at, run(cut(whole, [at]))]).toEqual([at, expected(text)]);
      }
    });

    it('S9: tells the same in chunks of 1, 2, 3, 7, 31, 64 and 4096 bytes', () => {
      for (const size of [1, 2, 3, 7, 31, 64, 4096]) {
        const at = Array.from({ length: Math.ceil(whole.length / size) }, (__, i) => i * size);
        expect([size, run(cut(whole, at))]).toEqual([size, expected(text)]);
      }
    });

    it('S3: accepts nothing but true lines when the connection is lost at any offset and made again', () => {
      const truth = new Set(text.split(/[\r\n]/));
      for (let at = 0; at <= whole.length; at++) {
        const frames = cut(whole, [at]).flatMap((part) => run([part]).filter(([kind]) => kind === 'frame'));
        for (const [, line] of frames) if (!truth.has(line as string)) expect.fail(`invented "${line}" at ${at}`);
      }
    });
  });

  it(`tells the same however any bytes are cut, and loses none (seed ${SEED})`, () => {
    const piece = fc.oneof(
      fc.constantFrom('\r', '\n', '\r\n', '\n\r', '\n\n', 'T=20.5', '\x00', '\xff'),
      fc.string({ unit: 'binary-ascii', maxLength: 30 }),
      fc.nat(80).map((n) => 'x'.repeat(n)),
    );
    fc.assert(
      fc.property(
        fc.array(piece, { maxLength: 40 }).map((pieces) => pieces.join('')),
        fc.array(fc.nat(2000), { maxLength: 20 }),
        fc.integer({ min: 1, max: 80 }),
        (text, offsets, capBytes) => {
          const whole = bytes(text);
          const at = offsets.map((offset) => offset % (whole.length + 1)).sort((a, b) => a - b);
          const told = run(cut(whole, at), capBytes);
          expect(told).toEqual(expected(text, capBytes));
          const counted = told.reduce((sum, t) => sum + (t[0] === 'frame' ? t[1].length : t[1]), 0);
          expect(counted).toBe(text.replace(/[\r\n]/g, '').length);
        },
      ),
      { seed: SEED, numRuns: 500 },
    );
  });

  it('gives each line within the push that completes it, also thousands a chunk and many chunks a turn', () => {
    const { stage, told } = recording(64);
    stage.push(bytes('\n'));
    for (let round = 0; round < 20; round++) {
      const lines = Array.from({ length: 5_000 }, (_, i) => `round ${round} line ${i}`);
      told.length = 0;
      stage.push(bytes(`${lines.join('\r\n')}\r\n`));
      if (told.length !== lines.length) expect.fail(`${told.length} lines at once in round ${round}`);
      for (const [i, line] of lines.entries())
        if (told[i]?.[1] !== line) expect.fail(`"${told[i]?.[1]}" for "${line}"`);
    }
    told.length = 0;
    stage.push(bytes('half'));
    expect(told).toEqual([]);
    stage.push(bytes(' and half\r'));
    expect(told).toEqual([['frame', 'half and half']]);
  });

  it('gives frames that later chunks do not change, in memory of their own', () => {
    const frames: Uint8Array[] = [];
    const stage = lineStage(16, { onFrame: (frame) => frames.push(frame), onDiscard: () => {} });
    const chunk = bytes('\nfirst\n');
    stage.push(chunk);
    chunk.fill(0x58);
    stage.push(bytes('other\n'));
    expect(frames.map((frame) => latin1(frame))).toEqual(['first', 'other']);
    expect(frames.map((frame) => frame.buffer.byteLength)).toEqual([5, 5]);
  });

  it('accepts a line of exactly the cap and keeps 64 bytes of what it discards', () => {
    const text = `\n${'a'.repeat(80)}\n${'b'.repeat(81)}\nok\n`;
    expect(run([bytes(text)], 80)).toEqual([
      ['frame', 'a'.repeat(80)],
      ['too-long', 81, 'b'.repeat(64)],
      ['frame', 'ok'],
    ]);
  });

  it('shows a line that never ends while it lasts, and counts every byte of it once', () => {
    const { stage, told } = recording(100);
    stage.push(bytes('\n'));
    for (let i = 0; i < 50; i++) stage.push(Buffer.alloc(4_000, 'u'));
    expect(told.map(([reason, count]) => [reason, count])).toEqual([
      ['too-long', 65_536],
      ['too-long', 65_536],
      ['too-long', 65_536],
    ]);
    stage.push(bytes('\nT=1\n'));
    expect(told.slice(3)).toEqual([
      ['too-long', 200_000 - 3 * 65_536, 'u'.repeat(64)],
      ['frame', 'T=1'],
    ]);
  });

  it('holds no more memory after 50 MB without a line end than before', () => {
    const { stage } = recording(512);
    const chunk = Buffer.alloc(4_096, 0x55);
    stage.push(chunk);
    const before = process.memoryUsage().arrayBuffers;
    for (let i = 0; i < 12_800; i++) stage.push(chunk);
    expect(process.memoryUsage().arrayBuffers - before).toBeLessThan(5_000_000);
  });

  it('takes ten times as long for ten times as much, without a line end and in small chunks', () => {
    const chunk = Buffer.alloc(64, 0x55);
    const costOf = (totalBytes: number): number => {
      const { stage } = recording(512);
      const start = process.cpuUsage().user;
      for (let sent = 0; sent < totalBytes; sent += chunk.length) stage.push(chunk);
      return process.cpuUsage().user - start;
    };
    costOf(5_000_000);
    const small = Math.min(...Array.from({ length: 5 }, () => costOf(500_000)));
    const large = Math.min(...Array.from({ length: 3 }, () => costOf(5_000_000)));
    // a stage that copies its buffer for every chunk needs a hundred times as long
    expect(large).toBeLessThan(40 * Math.max(small, 500));
  });

  it('does the same for bursts of whole lines: cost per byte does not grow with the chunk', () => {
    const line = bytes('T=20.5\n');
    const costOf = (lines: number, times: number): number => {
      const chunk = Buffer.concat(Array.from({ length: lines }, () => line));
      const { stage } = recording(64);
      const start = process.cpuUsage().user;
      for (let i = 0; i < times; i++) stage.push(chunk);
      return process.cpuUsage().user - start;
    };
    costOf(1_000, 50);
    const small = Math.min(...Array.from({ length: 3 }, () => costOf(100, 1_000)));
    const large = Math.min(...Array.from({ length: 3 }, () => costOf(100_000, 1)));
    expect(large).toBeLessThan(10 * Math.max(small, 1_000));
  });
});
