/**
 * A bay for whole jobs: two boards on sockets, and a sump whose level follows what people say they poured and drained. The
 * fluid is as warm as it is; what is poured in comes to its temperature at once. Figures of our own.
 */
import { writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { TcpPort } from '../../simulators/tcp-port.ts';
import type { Follower } from './follower.ts';

const TEMPERATURE_C = 50;
const MM_PER_L = 12;
/** How oil grows with temperature, in the litres of this bay; a round figure for mineral oil. */
const EXPANSION_PER_K = 0.0008;
/** Steps of the level board, mm: noise without a generator of random numbers. */
const RIPPLE = [0, 0.03, -0.02, 0.05, -0.04, 0.01, -0.05, 0.02, 0.04, -0.03];

const PROCEDURE = `
procedure: winch-sump
title: Winch sump, level put back
version: 3
purpose: New oil in, and the level back to where it stood.
result: level
cautions: ["Hot oil burns: gloves and sleeves."]
fields:
  customer: { ask: Customer }
  machine: { ask: Number of the winch, required: true }
measures:
  jug: { name: Measuring jug, by: jug, step: 50 mL, uncertainty: 1 %, each: 10 mL }
allowances:
  - { for: Dry filter, amount: 100 mL, uncertainty: 20 mL }
steps:
  - step: set-up
    title: Stand it level
    tick: [Level lengthwise and crosswise, Brake on and drum pinned]
    note: true
  - step: first-run
    title: Start the engine
    cautions: ["Running engine: sleeves away from belts."]
    tick: [Engine runs at idle]
    engine: starts
  - step: first-steady
    title: Wait until a reading counts
    wait-for: ready
  - step: first
    title: First reading
    read: target
  - step: worth
    title: Is this level worth matching?
    ask:
      match: { answer: Yes - no leak seen }
      leak: { answer: No - a leak is seen, go-to: set-up }
  - step: stop
    title: Stop the engine
    tick: [Engine stopped and secured]
    engine: stops
  - step: drain
    title: Drain the old oil
    dose: { way: out, several: true, with: [jug] }
  - step: oil
    title: The right oil
    enter:
      required-oil: { ask: Specification that the maker asks for }
      label-oil: { ask: Specification on the container, same-as: required-oil }
      fresh-temperature: { ask: Temperature of the new oil, range: -10 °C to 60 °C, means: fresh-temperature }
      look: { ask: How the old oil looks, choices: [clear, dark] }
      held: { ask: All the oil that it holds, range: 1 L to 60 L, means: fluid-held, required: false }
  - step: fill
    title: Fill in what was drained
    needs: { filled: 85 % }
    dose: { way: in, plan: refill, several: true, with: [jug] }
  - step: start
    title: Start the engine again
    needs: { filled: 85 % }
    tick: [Engine runs at idle]
    engine: starts
  - step: steady
    title: Wait until it counts again
    wait-for: ready
  - step: reading
    title: Read the level
    read: level
  - step: verdict
    title: Does it match?
    decide: { otherwise: adjust }
    go-to: zero
  - step: adjust
    title: Drain or add as advised
    dose: { way: advice, with: [jug] }
    go-to: steady
  - step: zero
    title: Check the zero again
    zero: true
  - step: finish
    title: Leaks and panels
    tick: [All dry, Panels back]
`;

function benchFile(probe: TcpPort, sonar: TcpPort): string {
  const link = ({ address }: TcpPort) => (address.kind === 'tcp' ? `{ tcp: "${address.host}:${address.port}" }` : '');
  return `
bench: Winch bay
instruments:
  probe: { driver: pattern, pattern: "T={temp} C", link: ${link(probe)}, every: 300 ms }
  sonar: { driver: columns, separator: ";", columns: [_, level], link: ${link(sonar)}, every: 100 ms }
channels:
  temperature: { from: probe.temp, unit: °C, uncertainty: 0.3 K, resolution: 0.01 K }
  level: { from: sonar.level, unit: mm, uncertainty: 0.1 mm, resolution: 0.01 mm, range: 5 mm to 200 mm }
measure:
  level: level
  temperature: temperature
  window: 46 °C to 54 °C
  compensation: { vessel-and-fluid: true }
  match: { tolerance: 1 mm, refit: 0.1 mm }
  steady: { tolerance: 1 mm, settling: 1 s, longest: 10 s }
fluid:
  name: winch oil
  density: { lubricating-oil: { at-15-C: 870 kg/m3, uncertainty: 2 kg/m3 } }
vessel:
  shape: { strapping-table: [[0 mm, 0 L], [60 mm, 5 L], [120 mm, 10 L]] }
  floor-at: 0 mm
  uncertainty: 1 %
procedures: [winch-sump.yaml]
page: { port: 0 }
`;
}

export class JobWorkshop {
  readonly #probe = new TcpPort();
  readonly #sonar = new TcpPort();
  #talk: NodeJS.Timeout | undefined;
  #levelMm = 60;
  #drainingMm = 0;
  #count = 0;
  readonly #seen = new Set<number>();
  /** As if it stood on its block: the level sensor shows this instead; null while it is fitted. */
  blockMm: number | null = null;

  get levelMm(): number {
    return this.#levelMm;
  }

  /** Plugs the boards in and lets them talk; the bench file. */
  async open(dir: string): Promise<string> {
    await this.#probe.plug();
    await this.#sonar.plug();
    writeFileSync(join(dir, 'winch-sump.yaml'), PROCEDURE);
    const file = join(dir, 'winch.yaml');
    writeFileSync(file, benchFile(this.#probe, this.#sonar));
    this.#talk = setInterval(() => this.#say(), 100);
    return file;
  }

  /** Runs out while the tap is open: half of what is advised is gone before anybody types it. */
  runOut(litres: number): void {
    this.#drainingMm = litres * MM_PER_L;
  }

  /** The level moves with every amount that the bench announces. */
  follow(follower: Follower): void {
    for (const { outcome } of follower.events) {
      if (outcome.kind !== 'amount' || this.#seen.has(outcome.event)) continue;
      this.#seen.add(outcome.event);
      const { kind, amount, tC, corrects } = outcome.made;
      if (corrects !== null) throw new Error('this bay moves no fluid for a correction: take it back by hand');
      const litres = amount * (1 + EXPANSION_PER_K * (TEMPERATURE_C - tC));
      this.#drainingMm = 0;
      if (kind === 'in') this.#levelMm += litres * MM_PER_L;
      if (kind === 'out') this.#levelMm -= litres * MM_PER_L;
    }
  }

  async close(): Promise<void> {
    clearInterval(this.#talk);
    await this.#probe.unplug();
    await this.#sonar.unplug();
  }

  #say(): void {
    this.#count++;
    const ripple = RIPPLE[this.#count % RIPPLE.length] ?? 0;
    const level = (this.blockMm ?? this.#levelMm - this.#drainingMm) + ripple;
    void this.#sonar.write(Buffer.from(`S;${level.toFixed(2)}\n`)).catch(() => {});
    if (this.#count % 3 === 0)
      void this.#probe.write(Buffer.from(`T=${(TEMPERATURE_C + ripple / 2).toFixed(2)} C\n`)).catch(() => {});
  }
}
