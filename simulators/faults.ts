import { joined } from './board.ts';
import type { Random } from './random.ts';
import type { SentLine } from './sent.ts';

/** What a bad cable, a wrong earth or a full buffer does to a line. */
export const FAULTS = ['drop', 'flip', 'insert', 'cut', 'duplicate'] as const;
export type Fault = (typeof FAULTS)[number];

export interface Damaged {
  /** All that arrives. */
  readonly bytes: Uint8Array;
  /** What was done to each line; null where nothing. */
  readonly hits: readonly (Fault | null)[];
}

/** The lines as they arrive if each one is hit with probability `share`, by one fault. The first one never is. */
export function damaged(lines: readonly SentLine[], share: number, random: Random): Damaged {
  const hits = lines.map((_, index) =>
    index > 0 && random.chance(share) ? (FAULTS[random.integer(0, FAULTS.length - 1)] ?? null) : null,
  );
  const parts = lines.map(({ bytes }, index) => {
    const fault = hits[index];
    return fault === null || fault === undefined ? bytes : struck(bytes, fault, random);
  });
  return { bytes: joined(...parts), hits };
}

function struck(line: Uint8Array, fault: Fault, random: Random): Uint8Array {
  const at = random.integer(0, line.length - 1);
  const [before, after] = [line.subarray(0, at), line.subarray(at + 1)];
  switch (fault) {
    case 'drop':
      return joined(before, after);
    case 'flip':
      return joined(before, Uint8Array.of((line[at] as number) ^ (1 << random.integer(0, 7))), after);
    case 'insert': {
      const noise = Uint8Array.from({ length: random.integer(1, 3) }, () => random.integer(0, 255));
      return joined(before, noise, line.subarray(at));
    }
    case 'cut':
      return before;
    case 'duplicate':
      return joined(line, line);
  }
}
