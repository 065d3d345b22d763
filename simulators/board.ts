import type { Random } from './random.ts';

/** What a piece of output is. Only `measured` and `wild` hold a number that a reader of lines can take. */
export type PrintKind = 'half-line' | 'boot' | 'measured' | 'wild' | 'garbled' | 'no-echo';

export interface Printed {
  readonly kind: PrintKind;
  readonly bytes: Uint8Array;
  /** The number printed, as printed; null where none can be read from it. */
  readonly value: number | null;
}

/** Text around one number. The number is as printed and may be a mark such as `---` that is none. */
export interface Line {
  readonly before: string;
  readonly number: string;
  readonly after: string;
}

export interface BoardSpec {
  readonly name: string;
  readonly periodS: number;
  /** Each interval is longer or shorter by up to this much. */
  readonly jitterS: number;
  readonly eol: '\r\n' | '\n';
  /** Lines printed after power-up or reset, one every `bootGapS`. */
  readonly bootLines: readonly string[];
  readonly bootGapS: number;
  measure(): Line;
  /** A line that is well formed and wrong. */
  wild(): Line;
  /** Share of lines. */
  readonly wildShare: number;
  readonly garbledShare: number;
}

/**
 * A board that prints lines for ever once it has power. Serial text has no checksum, but its garbling here always
 * strikes the number (noise bytes in it, or the line end lost so that two lines run together): no garbled line can be
 * taken for another number.
 */
export class Board {
  readonly name: string;
  readonly #spec: BoardSpec;
  readonly #random: Random;
  #bootStep: number | null = null;
  #nextAtS = Number.POSITIVE_INFINITY;
  /** The last line lost its end: the next one is glued to it. */
  #glued = false;

  constructor(spec: BoardSpec, random: Random) {
    this.name = spec.name;
    this.#spec = spec;
    this.#random = random;
  }

  /** Power or reset at `tS`: the rest of a line, noise, chatter, then measurements. */
  powerUp(tS: number): void {
    this.#bootStep = 0;
    this.#glued = false;
    this.#nextAtS = tS;
  }

  powerDown(): void {
    this.#bootStep = null;
    this.#nextAtS = Number.POSITIVE_INFINITY;
  }

  /** When it prints next, s; infinite without power. */
  nextAtS(): number {
    return this.#nextAtS;
  }

  /** What it prints at `nextAtS()`. */
  print(): Printed {
    if (this.#bootStep !== null) return this.#boot(this.#bootStep);
    this.#nextAtS += this.#spec.periodS + this.#random.uniform(-this.#spec.jitterS, this.#spec.jitterS);
    return this.#line();
  }

  /** The beginning of a line, cut inside its number: what gets out when the cable goes in the middle of it. */
  cutLine(): Uint8Array {
    const line = this.#spec.measure();
    return latin1(line.before + line.number.slice(0, this.#random.integer(1, line.number.length - 1)));
  }

  #boot(step: number): Printed {
    const { bootLines, bootGapS, periodS, eol } = this.#spec;
    if (step === 0) {
      this.#bootStep = 1;
      return this.#halfLine();
    }
    const last = step >= bootLines.length;
    this.#bootStep = last ? null : step + 1;
    this.#nextAtS += last ? periodS : bootGapS;
    const text = latin1((bootLines[step - 1] ?? '') + eol);
    return {
      kind: 'boot',
      bytes: step === 1 ? joined(this.#noise(this.#random.integer(3, 9)), text) : text,
      value: null,
    };
  }

  /** Whoever opens a port comes in somewhere in a line. */
  #halfLine(): Printed {
    const line = this.#spec.measure();
    const text = line.before + line.number + line.after;
    const from = this.#random.integer(line.before.length, text.length - 1);
    return { kind: 'half-line', bytes: latin1(text.slice(from) + this.#spec.eol), value: null };
  }

  #line(): Printed {
    const { wildShare, garbledShare, eol } = this.#spec;
    const isWild = this.#random.chance(wildShare);
    const isGarbled = this.#random.chance(garbledShare);
    const line = isWild ? this.#spec.wild() : this.#spec.measure();
    if (isGarbled) return this.#garbled(line);
    const value = this.#glued || !/^-?\d/.test(line.number) ? null : Number(line.number);
    const kind = this.#glued ? 'garbled' : value === null ? 'no-echo' : isWild ? 'wild' : 'measured';
    this.#glued = false;
    return { kind, bytes: latin1(line.before + line.number + line.after + eol), value };
  }

  #garbled(line: Line): Printed {
    if (this.#random.chance(0.5)) {
      const end = this.#random.integer(1, line.number.length - 1);
      this.#glued = true;
      return { kind: 'garbled', bytes: latin1(line.before + line.number.slice(0, end)), value: null };
    }
    const struck = this.#random.integer(0, line.number.length - 1);
    const start = latin1(line.before + line.number.slice(0, struck));
    const rest = latin1(line.number.slice(struck + 1) + line.after + this.#spec.eol);
    this.#glued = false;
    return { kind: 'garbled', bytes: joined(start, this.#noise(this.#random.integer(1, 3)), rest), value: null };
  }

  /** Bytes as a receiver makes of a disturbed or half-powered line: zeros and high bits, never a line end. */
  #noise(count: number): Uint8Array {
    return Uint8Array.from({ length: count }, () => (this.#random.chance(0.2) ? 0 : this.#random.integer(0x80, 0xff)));
  }
}

function latin1(text: string): Uint8Array {
  return Uint8Array.from(text, (character) => character.charCodeAt(0) & 0xff);
}

/** The parts in one piece. */
export function joined(...parts: readonly Uint8Array[]): Uint8Array {
  const all = new Uint8Array(parts.reduce((sum, part) => sum + part.length, 0));
  let at = 0;
  for (const part of parts) {
    all.set(part, at);
    at += part.length;
  }
  return all;
}
