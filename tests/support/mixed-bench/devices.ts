/** Eight simulated instruments, each at the end of a cable, with faults on demand. They run on any clock. */
import { joined } from '../../../simulators/board.ts';
import { brineBoard } from '../../../simulators/brine-board.ts';
import { cellarProbe } from '../../../simulators/cellar-probe.ts';
import { damaged } from '../../../simulators/faults.ts';
import { HexGauge } from '../../../simulators/hex-gauge.ts';
import { MashTun } from '../../../simulators/mash-tun.ts';
import { type Reply, SlaveLine, SlaveServer, type SlaveSpec } from '../../../simulators/modbus-slave.ts';
import { ovenBoard } from '../../../simulators/oven-board.ts';
import { frameCheck } from '../../../simulators/press-board.ts';
import type { Random } from '../../../simulators/random.ts';
import { type SentLine, utf8, wordless } from '../../../simulators/sent.ts';
import { tankSender } from '../../../simulators/tank-sender.ts';
import { vatBoard } from '../../../simulators/vat-board.ts';
import type { Clock } from '../../../src/links/contract.ts';
import { type InstrumentId, LATE_US, SLAVES, UNIT, WITHIN_US } from './bench-file.ts';
import type { Truth } from './truth.ts';

/** The end of a cable, or the air. What is sent while nobody listens is lost. */
export interface Cable {
  plug(): void;
  unplug(): void;
  /** The connection breaks, the instrument stays. */
  drop(): void;
  send(bytes: Uint8Array): void;
  onData(listener: (bytes: Uint8Array) => void): void;
}

export interface Surroundings {
  readonly clock: Clock;
  readonly random: Random;
  readonly truth: Truth;
  readonly cable: Cable;
}

const SECOND_US = 1_000_000;
/** Lines from one power-up; then the board restarts by itself. */
const LINES = 1800;

/** What all have in common: a cable, and a mouth that can be shut. */
export abstract class Device {
  readonly id: InstrumentId;
  readonly cable: Cable;
  protected readonly clock: Clock;
  protected readonly random: Random;
  protected readonly truth: Truth;
  mute = false;
  /** So many of the next lines or answers are hit on their way. */
  toDamage = 0;
  /** So many of the next answers come late. */
  toDelay = 0;

  constructor(id: InstrumentId, { clock, random, truth, cable }: Surroundings) {
    this.id = id;
    this.clock = clock;
    this.random = random;
    this.truth = truth;
    this.cable = cable;
  }

  #over = false;

  abstract start(): void;
  /** For good. */
  stop(): void {
    this.#over = true;
  }

  /** Power off and on. */
  abstract restart(): void;

  /** Bytes of no meaning on the wire. */
  noise(): void {
    const count = this.random.integer(1, 40);
    this.truth.damage(this.id, this.clock.nowUs());
    this.cable.send(Uint8Array.from({ length: count }, () => this.random.integer(0, 255)));
  }

  protected onItsWay(line: SentLine): Uint8Array {
    if (this.toDamage === 0) return line.bytes;
    this.toDamage -= 1;
    this.truth.damage(this.id, this.clock.nowUs());
    return damaged([wordless(''), line], 1, this.random).bytes;
  }

  protected say(values: SentLine['values']): void {
    for (const [signal, value] of Object.entries(values ?? {}))
      this.truth.say(`${this.id}.${signal}`, value, this.clock.nowUs());
  }

  protected after(us: number, run: () => void): void {
    this.clock.at(this.clock.nowUs() + Math.round(us), () => {
      if (!this.#over) run();
    });
  }
}

/** Prints a line a second for ever. */
export class Talker extends Device {
  readonly #power: (random: Random, lines: number) => readonly SentLine[];
  /** Whether a line goes out in one piece, as a value over the air does. */
  readonly #whole: boolean;
  #lines: readonly SentLine[] = [];
  #at = 0;

  constructor(
    id: InstrumentId,
    around: Surroundings,
    power: (random: Random, lines: number) => readonly SentLine[],
    whole = false,
  ) {
    super(id, around);
    this.#power = power;
    this.#whole = whole;
  }

  start(): void {
    this.restart();
    this.#print();
  }

  restart(): void {
    this.#lines = this.#power(this.random, LINES);
    this.#at = 0;
  }

  /** What waits in the port of a computer that sleeps: it was said long ago. */
  printEarlier(lines: number): void {
    for (const { bytes } of this.#lines.slice(this.#at, this.#at + lines)) this.cable.send(bytes);
    this.#at += lines;
  }

  #print(): void {
    this.after(SECOND_US, () => this.#print());
    if (this.#at >= this.#lines.length) this.restart();
    const line = this.#lines[this.#at++] as SentLine;
    if (this.mute) return;
    const bytes = this.onItsWay(line);
    this.say(line.values);
    const cut =
      !this.#whole && this.random.chance(0.1) ? this.random.integer(1, Math.max(1, bytes.length - 1)) : bytes.length;
    this.cable.send(bytes.subarray(0, cut));
    if (cut < bytes.length) this.after(this.random.integer(5, 120) * 1000, () => this.cable.send(bytes.subarray(cut)));
  }
}

/** Speaks only when asked. */
abstract class Answerer extends Device {
  /** Counts power-ups: what an earlier one would have answered is lost with it. */
  #power = 0;
  protected readonly latestUs: number;

  constructor(id: InstrumentId, around: Surroundings, latestUs: number) {
    super(id, around);
    this.latestUs = latestUs;
  }

  start(): void {
    this.cable.onData((bytes) => this.hear(bytes));
  }

  restart(): void {
    this.#power += 1;
    const { mute } = this;
    this.mute = true;
    this.after(2 * SECOND_US, () => {
      this.mute = mute;
    });
  }

  protected abstract hear(bytes: Uint8Array): void;

  protected answer(line: SentLine): void {
    if (this.mute) return;
    const late = this.toDelay > 0;
    if (late) this.toDelay -= 1;
    const us = late ? this.random.integer(WITHIN_US / 2, this.latestUs) : this.random.integer(4_000, 60_000);
    const bytes = this.onItsWay(line);
    const power = this.#power;
    this.say(line.values);
    this.after(us, () => {
      if (power === this.#power) this.cable.send(bytes);
    });
  }
}

class Gauge extends Answerer {
  readonly #gauge: HexGauge;
  #heard = '';

  constructor(around: Surroundings) {
    super('gauge', around, 2 * WITHIN_US);
    this.#gauge = new HexGauge(around.random);
  }

  protected hear(bytes: Uint8Array): void {
    this.#heard += String.fromCharCode(...bytes);
    for (let end = this.#heard.indexOf('\r'); end >= 0; end = this.#heard.indexOf('\r')) {
      this.answer(this.#gauge.answer(this.#heard.slice(0, end + 1)));
      this.#heard = this.#heard.slice(end + 1);
    }
  }
}

/** A tun that measures once a second, under a number of its own. */
class Slave implements SlaveSpec {
  readonly number: number;
  readonly #tun: MashTun;
  values: Readonly<Record<string, number>> = {};
  dead = false;
  #tS = 0;

  constructor(number: number, random: Random) {
    this.number = number;
    this.#tun = new MashTun(random);
    this.measure();
  }

  measure(): void {
    this.values = this.#tun.measure(this.#tS++);
  }

  read(table: number, address: number): number | null {
    return this.#tun.read(table, address);
  }
}

export class ModbusDevice extends Answerer {
  readonly #slaves: readonly Slave[];
  readonly #wire: { hear(bytes: Uint8Array): Reply[] };
  readonly #name: (slave: Slave, signal: string) => string;

  constructor(id: 'line' | 'panel', around: Surroundings) {
    super(id, around, id === 'line' ? LATE_US : 4 * SECOND_US);
    const numbers = id === 'line' ? SLAVES : [UNIT];
    this.#slaves = numbers.map((number) => new Slave(number, around.random));
    this.#wire = id === 'line' ? new SlaveLine(this.#slaves) : new SlaveServer(this.#slaves);
    this.#name = (slave, signal) => (id === 'line' ? `${signal}${slave.number}` : signal);
  }

  override start(): void {
    super.start();
    this.#measure();
  }

  /** One slave gives no answer for so long; the others go on. */
  kill(us: number): void {
    const slave = this.#slaves[this.random.integer(0, this.#slaves.length - 1)] as Slave;
    slave.dead = true;
    this.after(us, () => {
      slave.dead = false;
    });
  }

  #measure(): void {
    for (const slave of this.#slaves) slave.measure();
    this.after(SECOND_US, () => this.#measure());
  }

  protected hear(bytes: Uint8Array): void {
    for (const reply of this.#wire.hear(bytes)) {
      const slave = this.#slaves.find(({ number }) => number === reply.slave);
      if (slave === undefined || slave.dead) continue;
      const { temp = 0, height = 0 } = slave.values;
      const values = { [this.#name(slave, 'temp')]: temp, [this.#name(slave, 'height')]: height };
      this.answer({ bytes: reply.bytes, values });
    }
  }
}

/** `sonar;62.31;mm;q=87*1B2C`: the brine tank's board with a check value. */
function checkedBrine(random: Random, lines: number): SentLine[] {
  return brineBoard(random, lines).map(({ bytes, values }) => {
    const text = bytes.subarray(0, bytes.length - 1);
    return { bytes: joined(text, utf8(`*${frameCheck(text)}\n`)), values };
  });
}

/** Metres as millimetres, as the channel has them. */
function sender(random: Random, lines: number): SentLine[] {
  return tankSender(random, lines).map(({ bytes, values }) => ({
    bytes,
    values: values?.level === undefined ? values : { ...values, level: values.level * 1000 },
  }));
}

export function makeDevices(around: (id: InstrumentId) => Surroundings): readonly Device[] {
  return [
    new Talker('oven', around('oven'), ovenBoard),
    new Talker('brine', around('brine'), checkedBrine),
    new Talker('sender', around('sender'), sender),
    new Gauge(around('gauge')),
    new Talker('vat', around('vat'), vatBoard),
    new ModbusDevice('line', around('line')),
    new ModbusDevice('panel', around('panel')),
    new Talker('cellar', around('cellar'), cellarProbe, true),
  ];
}
