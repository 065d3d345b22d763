/** Bytes for the conformance suite: lines of a recording, cuts, seeded noise and damage. */

export type Random = (below: number) => number;

/** Whole numbers from 0 up to `below`, not included: xorshift (Marsaglia, Journal of Statistical Software 8, 2003). */
export function seededRandom(seed: number): Random {
  let word = (Math.imul(seed, 0x9e3779b1) ^ 0x2545f491) | 1;
  return (below) => {
    word ^= word << 13;
    word ^= word >>> 17;
    word ^= word << 5;
    return (word >>> 0) % below;
  };
}

const isEnd = (byte: number | undefined): boolean => byte === 0x0a || byte === 0x0d;

/** The lines without their ends. */
export function linesOf(raw: Uint8Array): Uint8Array[] {
  const lines: Uint8Array[] = [];
  let start = 0;
  for (let at = 0; at <= raw.length; at++) {
    if (at < raw.length && !isEnd(raw[at])) continue;
    if (at > start) lines.push(raw.subarray(start, at));
    start = at + 1;
  }
  return lines;
}

export function joined(parts: readonly Uint8Array[]): Uint8Array {
  const all = new Uint8Array(parts.reduce((sum, part) => sum + part.length, 0));
  let at = 0;
  for (const part of parts) {
    all.set(part, at);
    at += part.length;
  }
  return all;
}

export const LF = Uint8Array.of(0x0a);

/** The lines with ends; one stands in front, so that the first line is a whole one. */
export function asStream(lines: readonly Uint8Array[], end: (index: number) => Uint8Array = () => LF): Uint8Array {
  return joined([LF, ...lines.flatMap((line, index) => [line, end(index)])]);
}

export function chunks(raw: Uint8Array, size: () => number): Uint8Array[] {
  const out: Uint8Array[] = [];
  for (let at = 0; at < raw.length; ) {
    const end = Math.min(raw.length, at + size());
    out.push(raw.subarray(at, end));
    at = end;
  }
  return out;
}

/** Noise as a bad line makes it: no line ends. */
export function noise(random: Random): Uint8Array {
  const bytes = Uint8Array.from({ length: 1 + random(30) }, () => [0x00, 0xff, random(256)][random(3)] as number);
  return bytes.map((byte) => (isEnd(byte) ? 0xfe : byte));
}

/** One fault in a line with its end: a byte lost, a bit flipped, bytes put in, the rest lost, the line twice. */
export function struck(line: Uint8Array, random: Random, putIn = noise): Uint8Array {
  const at = random(line.length);
  const [before, byte, after] = [line.subarray(0, at), line[at] as number, line.subarray(at + 1)];
  switch (random(5)) {
    case 0:
      return joined([before, after]);
    case 1:
      return joined([before, Uint8Array.of(byte ^ (1 << random(8))), after]);
    case 2:
      return joined([before, putIn(random).subarray(0, 3), line.subarray(at)]);
    case 3:
      return before;
    default:
      return joined([line, line]);
  }
}
