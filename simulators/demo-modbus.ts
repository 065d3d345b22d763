import type { Board, Printed } from './board.ts';
import { floatWords, SlaveLine, type SlaveSpec } from './modbus-slave.ts';
import type { PortAddress } from './port.ts';

/** The gauge counts the echo in ticks of its timer. */
const TICK_US = 0.0625;

/** Where the transmitters keep what the boards of the demonstration measure. */
const PROBE = { slave: 1, address: 20 } as const;
const SONAR = { slave: 2, address: 6 } as const;

/** A transmitter in place of a board that prints: it holds the latest number, and is busy while the board boots. */
class Transmitter implements SlaveSpec {
  readonly number: number;
  readonly #address: number;
  readonly #words: (value: number) => readonly number[];
  #held: readonly number[] | null = null;

  constructor({ slave, address }: { slave: number; address: number }, words: (value: number) => readonly number[]) {
    this.number = slave;
    this.#address = address;
    this.#words = words;
  }

  take({ kind, value }: Printed): void {
    if (kind === 'half-line' || kind === 'boot') this.#held = null;
    else if (value !== null) this.#held = this.#words(value);
  }

  busy(): boolean {
    return this.#held === null;
  }

  read(table: number, address: number): number | null {
    return table === 4 ? (this.#held?.[address - this.#address] ?? null) : null;
  }
}

/** Both boards of the demonstration as slaves on one line. */
export class DemoLine {
  readonly #probe = new Transmitter(PROBE, (ohm) => [...floatWords(ohm)].reverse());
  readonly #sonar = new Transmitter(SONAR, (us) => [Math.min(65_535, Math.round(us / TICK_US))]);
  readonly #line = new SlaveLine([this.#probe, this.#sonar]);
  #last: Uint8Array = new Uint8Array();

  printed(board: Board, printed: Printed): void {
    (board.name === 'probe' ? this.#probe : this.#sonar).take(printed);
  }

  /** Answers to what was heard. */
  hear(bytes: Uint8Array): readonly Uint8Array[] {
    const answers = this.#line.hear(bytes).map((reply) => reply.bytes);
    this.#last = answers.at(-1) ?? this.#last;
    return answers;
  }

  /** The beginning of an answer: what gets out when the cable goes in the middle of it. */
  cutAnswer(): Uint8Array {
    return this.#last.subarray(0, 5);
  }
}

/** The instruments of the bench file. */
export function lineInstruments(address: PortAddress, link: (address: PortAddress) => string): string {
  return `# Two transmitters on one line of Modbus: where their bytes come from and how to read them.
instruments:
  line:
    driver: modbus
    link: ${link(address)}
    every: 200 ms
    within: 100 ms
    late: 500 ms
    signals:
      # a float in two registers, the less significant first
      resistance: { slave: ${PROBE.slave}, input-register: ${PROBE.address}, type: f32, words: little }
      # ticks of ${TICK_US} us
      flight: { slave: ${SONAR.slave}, input-register: ${SONAR.address}, scale: ${TICK_US} }
`;
}
