/** A bay with a pump sump of known plan, driven by hand through a job: fluid in and out moves its level, and it is read. */
import { drivers } from '../../drivers/index.ts';
import { type Carried, NOTHING_CARRIED } from '../../src/core/carried.ts';
import type { BenchDescription } from '../../src/core/description.ts';
import type { ActionBody, Refusal } from '../../src/core/events.ts';
import type { ProcedureDescription } from '../../src/core/job/procedure.ts';
import { testBench } from './bench.ts';
import { CoreRig, noise } from './core-rig.ts';
import { PROCEDURE } from './procedure.ts';

export const bayBench: BenchDescription = {
  ...testBench,
  measure: {
    ...testBench.measure,
    referenceFrom: 'first-reading',
    match: {
      ...{ toleranceMm: 1, rule: { by: 'probability', probability: 0.95 }, refitMm: 0.1, refits: null },
      ...{ newFluidMm: 0, target: null },
    },
  },
  fluid: {
    kind: 'single',
    name: 'test oil',
    density: { kind: 'lubricating-oil', at15KgPerM3: 872, uKgPerM3: 2, uExpansionPerK: 7.5e-5 },
    sound: null,
  },
};

export interface BayOptions {
  readonly bench?: BenchDescription;
  readonly procedure?: ProcedureDescription;
  readonly carried?: Carried;
  readonly levelMm?: number;
  readonly mmPerL?: number;
  readonly seed?: number;
}

export class JobBay {
  readonly rig: CoreRig;
  levelMm: number;
  temperatureC = 50;
  readonly mmPerL: number;
  readonly #ripple;

  constructor(options: BayOptions = {}) {
    const { bench = bayBench, procedure = PROCEDURE, carried = NOTHING_CARRIED } = options;
    this.levelMm = options.levelMm ?? 60;
    this.mmPerL = options.mmPerL ?? 12;
    this.rig = new CoreRig(bench, drivers, carried, [], [procedure]);
    this.#ripple = noise(options.seed ?? 31);
    this.rig.open('probe');
    this.rig.open('sonar');
  }

  get carried(): Carried {
    const { state } = this.rig;
    if (state === null) throw new Error('no state yet');
    return state.carried;
  }

  get at(): string | null {
    return this.carried.progress?.at ?? null;
  }

  ask(body: ActionBody, actor = 'Ines'): Refusal | null {
    this.rig.admit({
      kind: 'action',
      actionId: `ask-${this.rig.seq}`,
      actor,
      role: 'technician',
      expectedRevision: this.carried.revision,
      body,
    });
    return this.rig.outcomes('action').at(-1)?.refusal ?? null;
  }

  start(): Refusal | null {
    return this.ask({
      ...{ type: 'start-job', label: 'J-1', procedure: 'pump-sump', machineType: 'small pump' },
      fields: { machine: 'P 7' },
    });
  }

  tick(step: string, ticks: readonly string[], rest: { readonly note?: string } = {}): Refusal | null {
    return this.ask({ type: 'confirm', step, ticks, ...rest });
  }

  enter(name: string, value: number | string, rest: { readonly override?: string; readonly corrects?: number } = {}) {
    return this.ask({ type: 'enter', name, value, ...rest });
  }

  /** Litres, poured or caught as warm as the sump; the level follows. */
  pour(kind: 'in' | 'out', litres: number, measure = 'jug'): Refusal | null {
    const refusal = this.ask({ type: 'record-amount', kind, amount: litres, measure, tC: this.temperatureC });
    if (refusal === null) this.levelMm += (kind === 'in' ? 1 : -1) * litres * this.mmPerL;
    return refusal;
  }

  /** Time goes on with a calm level. */
  calm(seconds: number): void {
    this.rig.run(
      seconds,
      () => this.temperatureC,
      () => this.levelMm + 0.02 * this.#ripple(),
    );
  }

  /** From the start to where the first reading was taken and found worth matching. */
  toFirstReading(): void {
    this.start();
    this.tick('set-up', ['level', 'couplant']);
    this.enter('held', 8);
    this.enter('required', 'ISO VG 46');
    this.tick('start', ['runs']);
    this.calm(40);
  }
}
