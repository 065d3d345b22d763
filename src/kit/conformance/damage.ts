/** Checks of what a cable does: damaged bytes, lines without an end, a plug pulled. */
import { chunks, joined, struck } from './bytes.ts';
import type { Context } from './context.ts';
import type { Cut } from './cut.ts';
import { costUs, difference, lostOf, notSent } from './judge.ts';
import { play, type Subject, samplesOf } from './rig.ts';

const FAULT_RUNS = 6;
const ONE_MB = 1_000_000;

export function flips({ cut, window, checked, ...subject }: Context): string | null {
  const stream = cut.stream(window);
  const expected = samplesOf(subject, stream);
  for (let at = cut.startsAt; at < stream.length; at++) {
    const byte = stream[at] as number;
    for (const other of [0x00, 0xff, ...Array.from({ length: 8 }, (_, bit) => byte ^ (1 << bit))]) {
      if (other === byte) continue;
      const flipped = stream.with(at, other);
      const played = play(subject, [[flipped]]);
      const place = `byte ${at} of the frames made ${other} instead of ${byte}`;
      if (played.misdeed !== null) return `${place}: ${played.misdeed}`;
      const lost = lostOf(played.samples, expected);
      if (lost > 2) return `${place}: ${lost} frames are lost`;
      const wrong = notSent(played.samples, expected);
      if (wrong.length > (checked ? 0 : 1)) return `${place}: it gives ${JSON.stringify(wrong)}, which was not sent`;
    }
  }
  return null;
}

export function endless({ cut, window, ...subject }: Context): string | null {
  const expected = samplesOf(subject, cut.stream(window));
  const { capBytes } = subject.driver.framing(subject.options);
  const spill = (bytes: number): Uint8Array => new Uint8Array(bytes).fill(0x55);
  const around = (bytes: number) => chunks(joined([cut.stream(window), spill(bytes), cut.stream(window)]), () => 4096);
  const played = play(subject, [around(ONE_MB)]);
  if (played.misdeed !== null) return played.misdeed;
  if (played.discardedBytes !== ONE_MB)
    return `of ${ONE_MB} bytes without an end, ${played.discardedBytes} were counted`;
  if (played.longestFrame > capBytes) return `a frame of ${played.longestFrame} bytes in spite of a cap of ${capBytes}`;
  const found = difference('around 1 MB without an end', played.samples, [...expected, ...expected]);
  if (found !== null) return found;
  return slowness(subject, cut, window, capBytes);
}

/** The same bytes in an eighth of the lines: linear costs the same, quadratic eight times as much. */
function slowness(subject: Subject, cut: Cut, window: Context['window'], capBytes: number): string | null {
  const content = joined(Array.from({ length: capBytes }, () => cut.torn(window[0] as Uint8Array)));
  const cost = (lines: number, lineBytes: number): number => {
    const line = joined(Array.from({ length: Math.ceil(lineBytes / content.length) }, () => content));
    const pieces = Array.from({ length: lines }, () => line.subarray(0, lineBytes));
    const connections = cut.apart(pieces).map((stream) => chunks(stream, () => 4096));
    return costUs(subject.tools, () => play(subject, connections));
  };
  const streams = leastRatio(() => cost(1, ONE_MB) / cost(8, ONE_MB / 8));
  if (streams > 4) return `eight times as many bytes without an end cost ${streams.toFixed(1)} times as much a byte`;
  const lines = leastRatio(() => cost(50, capBytes) / cost(400, Math.floor(capBytes / 8)));
  return lines > 4 ? `a line eight times as long costs ${lines.toFixed(1)} times as much a byte` : null;
}

/** A busy machine can make one measurement slow, not every one: what is quadratic stays so. */
function leastRatio(measure: () => number): number {
  let least = measure();
  for (let again = 0; again < 4 && least > 4; again++) least = Math.min(least, measure());
  return least;
}

export function unplug({ cut, window, ...subject }: Context): string | null {
  const stream = cut.stream(window);
  const expected = samplesOf(subject, stream);
  for (let at = 0; at <= stream.length; at++) {
    const played = play(subject, [[stream.subarray(0, at)], [stream.subarray(at)]]);
    const wrong = notSent(played.samples, expected);
    if (wrong.length > 0) return `unplugged at byte ${at}: it gives ${JSON.stringify(wrong)}, which was not sent`;
    const lost = lostOf(played.samples, expected);
    if (lost > 1) return `unplugged at byte ${at}: ${lost} frames are lost`;
  }
  return null;
}

export function faults({ recording: { raw }, cut, checked, random, ...subject }: Context): string | null {
  const end = (frame: Uint8Array) => joined([frame, cut.end]);
  const lines = cut.frames(raw).slice(1);
  const sent = samplesOf(subject, cut.stream(lines));
  for (let run = 0; run < FAULT_RUNS; run++) {
    const hit = lines.map(() => random(6) === 0);
    const stream = lines.map((line, index) => (hit[index] ? struck(end(line), random, cut.noise) : end(line)));
    const played = play(subject, [[joined([cut.stream([]), ...stream])]]);
    if (played.misdeed !== null) return played.misdeed;
    const wrong = notSent(played.samples, sent);
    const excused = checked ? 0 : hit.filter(Boolean).length;
    if (wrong.length > excused) return `${JSON.stringify(wrong.slice(0, 3))} came, which was not sent`;
    if (played.samples.length < sent.length / 3)
      return `only ${played.samples.length} of ${sent.length} frames are left`;
  }
  return null;
}
