/** Checks of a whole recording: however it is cut, ended and mixed with junk. */
import { chunks, joined } from './bytes.ts';
import type { Context } from './context.ts';
import { difference, isPlain, lostOf, sum } from './judge.ts';
import { play, samplesOf } from './rig.ts';

export function stated({ recording, ...subject }: Context): string | null {
  const played = play(subject, [[recording.raw]]);
  if (played.misdeed !== null) return played.misdeed;
  const samples: Record<string, number[]> = Object.fromEntries(
    Object.keys(recording.samples).map((name) => [name, []]),
  );
  for (const signals of played.samples)
    for (const [signal, value] of Object.entries(signals)) samples[signal] = [...(samples[signal] ?? []), value];
  return (
    difference('samples', samples, recording.samples) ?? difference('discards', played.discarded, recording.discarded)
  );
}

export function splits({ recording: { raw }, cut, window, random, ...subject }: Context): string | null {
  const whole = play(subject, [[raw]]);
  for (const size of [1, 2, 3, 7, 31, 64, 4096]) {
    const found = difference(`in pieces of ${size}`, play(subject, [chunks(raw, () => size)]), whole);
    if (found !== null) return found;
  }
  const stream = cut.stream(window);
  const expected = play(subject, [[stream]]);
  for (let at = 1; at < stream.length; at++) {
    const parts = [stream.subarray(0, at), stream.subarray(at)];
    const found = difference(`cut at byte ${at} of the frames`, play(subject, [parts]), expected);
    if (found !== null) return found;
  }
  for (let run = 0; run < 5; run++) {
    const found = difference('in random pieces', play(subject, [chunks(raw, () => 1 + random(90))]), whole);
    if (found !== null) return found;
  }
  return null;
}

export function endings({ cut, window, ...subject }: Context): string | null {
  const { ends } = cut;
  const expected = play(subject, [[cut.stream(window)]]).samples;
  for (const end of ends) {
    const found = difference(
      'with another end',
      samplesOf(
        subject,
        cut.stream(window, () => end),
      ),
      expected,
    );
    if (found !== null) return found;
  }
  const mixed = cut.stream(window, (index) => ends[index % ends.length] as Uint8Array);
  return difference('with mixed ends', samplesOf(subject, mixed), expected);
}

export function junk({ cut, window, random, ...subject }: Context): string | null {
  const expected = samplesOf(subject, cut.stream(window));
  const dirty = window.flatMap((line) => [cut.noise(random), line]);
  const played = play(subject, [[cut.stream(dirty)]]);
  const counted = sum(Object.values(played.discarded));
  if (counted !== window.length) return `of ${window.length} pieces of junk, ${counted} were counted`;
  const found = difference('with junk between', played.samples, expected);
  if (found !== null) return found;
  const glued = window.map((line, index) => (index === 1 ? joined([cut.noise(random), line]) : line));
  const lost = lostOf(samplesOf(subject, cut.stream(glued)), expected);
  return lost > 1 ? `junk in front of one frame loses ${lost} frames` : null;
}

export function anyBytes({ cut, window, random, ...subject }: Context): string | null {
  for (let run = 0; run < 200; run++) {
    const line = window[run % window.length] as Uint8Array;
    const bytes = Array.from(
      { length: 1 + random(200) },
      () => [random(256), line[random(line.length)] as number][random(2)] as number,
    );
    const { misdeed } = play(subject, [[cut.stream([Uint8Array.from(bytes)])]]);
    if (misdeed !== null) return `${misdeed}, on the bytes ${bytes.join(' ')}`;
  }
  return null;
}

export function state({ recording: { raw }, ...subject }: Context): string | null {
  let odd: string | null = null;
  const copied = play(subject, [[raw]], (kept) => {
    if (!isPlain(kept)) odd = 'its state holds more than plain data';
    return subject.tools.clone(kept);
  });
  return odd ?? difference('with the state copied after every frame', copied, play(subject, [[raw]]));
}
