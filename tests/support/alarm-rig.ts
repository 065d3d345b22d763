/** The small bench with two alarms, driven by hand, and people who act on them. */

import { drivers } from '../../drivers/index.ts';
import type { AlarmDescription } from '../../src/core/alarms/description.ts';
import { type Carried, NOTHING_CARRIED } from '../../src/core/carried.ts';
import type { BenchDescription } from '../../src/core/description.ts';
import type { ActionBody, ActionOutcome } from '../../src/core/events.ts';
import { testBench } from './bench.ts';
import { CoreRig } from './core-rig.ts';

export const HOT: AlarmDescription = {
  id: 'overheated',
  channel: 'temperature',
  side: 'above',
  limit: 90,
  deadband: 3,
  onDelayUs: 5_000_000,
  offDelayUs: 10_000_000,
  priority: 'high',
  message: 'Stop heating.',
};

export const LOW: AlarmDescription = {
  id: 'low-level',
  channel: 'level',
  side: 'below',
  limit: 18,
  deadband: 2,
  onDelayUs: 0,
  offDelayUs: 0,
  priority: 'medium',
  message: 'Stop the engine.',
  whileMachine: ['idling'],
};

export const alarmBench: BenchDescription = { ...testBench, machineStates: ['idling', 'stopped'], alarms: [HOT, LOW] };

export class AlarmRig extends CoreRig {
  #actions = 0;

  constructor(bench: BenchDescription = alarmBench, carried: Carried = NOTHING_CARRIED) {
    super(bench, drivers, carried);
    this.open('probe');
    this.open('sonar');
  }

  get carried(): Carried {
    if (this.state === null) throw new Error('no run yet');
    return this.state.carried;
  }

  act(body: ActionBody, actor = 'Mira'): ActionOutcome {
    this.admit({
      kind: 'action',
      actionId: `action-${++this.#actions}`,
      actor,
      role: 'technician',
      expectedRevision: this.carried.revision,
      body,
    });
    return this.outcomes('action').at(-1) as ActionOutcome;
  }

  /** What was told of alarms: "seconds alarm state → stands". */
  told(): string[] {
    return this.outcomes('alarm').map(({ tUs, alarm, state, stands }) => `${tUs / 1e6} ${alarm} ${state} → ${stands}`);
  }

  /** Seconds at one temperature and one level. */
  hold(seconds: number, temperatureC: number, levelMm = 60): void {
    this.run(
      seconds,
      () => temperatureC,
      () => levelMm,
    );
  }
}

export const OVERHEATED = { alarm: 'overheated', source: 'temperature' } as const;
