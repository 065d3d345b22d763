/** Seeded faults, one after the other for each instrument, on any clock; and what must be seen at the end of each. */
import { Random } from '../../../simulators/random.ts';
import type { RunningBench } from '../../../src/bench.ts';
import type { BenchDescription } from '../../../src/core/description.ts';
import { lostAfterUs, staleAfterUs } from '../../../src/core/limits.ts';
import type { Clock } from '../../../src/links/contract.ts';
import { UNCHECKED } from './bench-file.ts';
import { type Device, ModbusDevice, Talker } from './devices.ts';
import type { Judge } from './judge.ts';

const S = 1_000_000;

/** An alarm of longer than this is one that no fault accounts for. */
const RECOVERY_US = 20 * S;

export interface StormOptions {
  readonly clock: Clock;
  readonly seed: number;
  readonly devices: readonly Device[];
  readonly bench: BenchDescription;
  readonly running: () => RunningBench;
  readonly judge: Judge;
  /** Least time between two faults of one instrument: by then it must be well again. */
  readonly restUs: number;
  /** What comes on top of it, usually. */
  readonly everyUs: number;
  /** How long an instrument may be mute or unplugged. */
  readonly longestUs: number;
  /** How late anything may be noticed. */
  readonly slackUs: number;
}

export class Storm {
  readonly counts: Record<string, number> = {};
  readonly #options: StormOptions;
  #calm = false;
  #standing = 0;

  constructor(options: StormOptions) {
    this.#options = options;
  }

  begin(): void {
    for (const device of this.#options.devices) this.#next(device, Random.of(this.#options.seed, `storm ${device.id}`));
  }

  /** No further faults from here on, until it is told otherwise. */
  calm(calm: boolean): void {
    this.#calm = calm;
  }

  /** Faults that last. */
  get standing(): number {
    return this.#standing;
  }

  #after(us: number, run: () => void): void {
    const { clock } = this.#options;
    clock.at(clock.nowUs() + Math.round(us), run);
  }

  #next(device: Device, random: Random): void {
    const { restUs, everyUs } = this.#options;
    this.#after(restUs + random.uniform(0, 2 * everyUs), () => {
      if (this.#calm) return this.#next(device, random);
      // one that has just begun is of a board that restarts, or of a computer that slept
      const { clock, judge } = this.#options;
      if (judge.alarmed(device.id, clock.nowUs() - RECOVERY_US))
        this.#complain(device, 'has not come back since its last fault');
      const faults = this.#faultsOf(device, random);
      const [name, run] = faults[random.integer(0, faults.length - 1)] as readonly [string, () => number];
      this.counts[name] = (this.counts[name] ?? 0) + 1;
      this.#standing += 1;
      this.#after(run(), () => {
        this.#standing -= 1;
        this.#next(device, random);
      });
    });
  }

  /** Each begins at once, and tells how long it lasts. */
  #faultsOf(device: Device, random: Random): readonly (readonly [string, () => number])[] {
    const { cable } = device;
    const seconds = (low: number, high: number): number =>
      Math.round(Math.min(random.uniform(low, high) * S, this.#options.longestUs));
    const out = (us: number, reasons: readonly string[], repair: () => void): number => {
      this.#after(us, () => {
        this.#mustShow(device, us, reasons);
        repair();
      });
      return us;
    };
    const all: (readonly [string, () => number])[] = [
      [
        'unplugged',
        () => {
          cable.unplug();
          return out(
            seconds(1, 60),
            ['unplugged', 'not-found', 'link-lost', 'not-in-range', 'refused', 'remote-closed'],
            () => {
              device.restart();
              cable.plug();
            },
          );
        },
      ],
      [
        'connection broken',
        () => {
          cable.drop();
          return 0;
        },
      ],
      [
        'mute',
        () => {
          device.mute = true;
          return out(seconds(1, 100), [], () => {
            device.mute = false;
          });
        },
      ],
      [
        'restarted',
        () => {
          device.restart();
          return 0;
        },
      ],
    ];
    if (device instanceof ModbusDevice)
      all.push([
        'a dead slave',
        () => {
          const us = seconds(5, 60);
          device.kill(us);
          return us;
        },
      ]);
    if (!(device instanceof Talker))
      all.push([
        'late answers',
        () => {
          device.toDelay = random.integer(1, 8);
          return 20 * S;
        },
      ]);
    // a network and the radio check what they carry
    if (device.id !== 'panel' && device.id !== 'cellar')
      all.push(
        [
          'noise',
          () => {
            device.noise();
            return 0;
          },
        ],
        [
          'damaged on its way',
          () => {
            // one alone where no check value is: two alike cannot be told from a real change
            device.toDamage = UNCHECKED.has(device.id) ? 1 : random.integer(1, 5);
            return 6 * S;
          },
        ],
      );
    return all;
  }

  /** At the end of an outage, before it is repaired: old values show as old, the alarm stands, the link says why. */
  #mustShow(device: Device, lastedUs: number, reasons: readonly string[]): void {
    const { bench, running, judge, slackUs } = this.#options;
    const { intervalUs } = bench.instruments.find(({ id }) => id === device.id) as BenchDescription['instruments'][0];
    const live = running().live();
    // no outcome is decided while the record has a gap
    if (!live.recording) return;
    const told = live.instruments[device.id];
    const onItsWayUs = S + slackUs;
    if (reasons.length > 0 && lastedUs > slackUs && (told?.state !== 'closed' || !reasons.includes(told.reason)))
      this.#complain(device, `is unplugged and shows as ${told?.state} ${told?.reason}`);
    if (lastedUs > staleAfterUs(intervalUs) + onItsWayUs)
      for (const { id, instrument } of bench.channels)
        if (instrument === device.id && live.channels[id]?.stale === false)
          this.#complain(device, `has said nothing for ${lastedUs / S} s, and ${id} shows as fresh`);
    // silence counts from the end of a gap in the record
    const knownUs = Math.min(lastedUs, this.#options.clock.nowUs() - judge.gapUs);
    if (knownUs > lostAfterUs(intervalUs) + onItsWayUs && !judge.alarmed(device.id))
      this.#complain(device, `has said nothing for ${lastedUs / S} s, without an alarm`);
  }

  #complain({ id }: Device, words: string): void {
    this.#options.judge.complain(`${(this.#options.clock.nowUs() / S).toFixed(3)} s: ${id} ${words}`);
  }
}
