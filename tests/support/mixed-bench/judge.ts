/** Holds what the product makes of the bytes against the truth: values, alarms, marks of a gap. */
import type { BenchDescription } from '../../../src/core/description.ts';
import type { Input, Outcome, Sample } from '../../../src/core/events.ts';
import { lostAfterUs } from '../../../src/core/limits.ts';
import { UNCHECKED } from './bench-file.ts';
import type { Truth } from './truth.ts';

export interface Tally {
  good: number;
  doubted: number;
  /** Damaged lines without a check value that still read as a number, and were doubted. */
  damagedDoubted: number;
  /** The same, good all the same, since it stayed among its neighbours: nobody can tell a damaged last digit. */
  damagedGood: number;
  /** Sent truly, but told with the next line, since its own line end was damaged. */
  runTogether: number;
  /** How far the furthest of them was from the truth, in the unit of its channel. */
  furthest: number;
  alarms: number;
  closed: Record<string, number>;
  gaps: number;
}

interface Watched {
  saneUs: number;
  alarm: boolean;
  alarmUs: number;
}

const MOST_FAULTS = 20;
/** Ten usual steps of the liveliest channel without a check value, mm: less is no jump. */
const NEAR = 2;

export class Judge {
  readonly tally: Tally = {
    ...{
      good: 0,
      doubted: 0,
      damagedDoubted: 0,
      damagedGood: 0,
      runTogether: 0,
      furthest: 0,
      alarms: 0,
      closed: {},
      gaps: 0,
    },
  };
  /** What must not be, in words. */
  readonly faults: string[] = [];
  /** How often the record says that the clock was set, or went on without this process. */
  steps = 0;
  /** When the record last had a gap. */
  gapUs = 0;
  readonly #truth: Truth;
  readonly #slackUs: number;
  readonly #channels: ReadonlyMap<string, BenchDescription['channels'][number]>;
  readonly #watched = new Map<string, Watched & { readonly lostUs: number }>();

  /** @param slackUs how late an alarm may come: 0 in virtual time */
  constructor(bench: BenchDescription, truth: Truth, slackUs: number) {
    this.#truth = truth;
    this.#slackUs = slackUs;
    this.#channels = new Map(bench.channels.map((channel) => [channel.id, channel]));
    for (const { id, intervalUs } of bench.instruments)
      this.#watched.set(id, { saneUs: 0, alarm: false, alarmUs: 0, lostUs: lostAfterUs(intervalUs) });
  }

  complain(words: string): void {
    if (this.faults.length < MOST_FAULTS) this.faults.push(words);
  }

  /** Whether the alarm of the instrument stands, and has stood since then. */
  alarmed(instrument: string, sinceUs = Number.POSITIVE_INFINITY): boolean {
    const { alarm, alarmUs } = this.#of(instrument);
    return alarm && alarmUs <= sinceUs;
  }

  sample({ channel, tUs, value, quality, reason }: Sample): void {
    const { instrument, signal, intervalUs } = this.#channels.get(channel) as BenchDescription['channels'][number];
    this.#sane(instrument, tUs);
    if (quality === 'good') this.tally.good += 1;
    else this.tally.doubted += 1;
    const key = `${instrument}.${signal}`;
    if (this.#truth.wasSaid(key, value, tUs)) return;
    const what = `${(tUs / 1e6).toFixed(3)} s: ${channel} ${value} (${quality} ${reason ?? ''})`;
    if (!UNCHECKED.has(instrument) || !this.#truth.wasDamaged(instrument, tUs, 2 * intervalUs))
      this.complain(`${what} was never sent`);
    else if (quality !== 'good') this.tally.damagedDoubted += 1;
    else {
      const off = this.#truth.distance(key, value, tUs, 2 * intervalUs);
      if (off === 0) this.tally.runTogether += 1;
      else this.tally.damagedGood += 1;
      this.tally.furthest = Math.max(this.tally.furthest, off);
      if (!(off <= NEAR)) this.complain(`${what} is of a damaged line, ${off.toFixed(2)} from the truth`);
    }
  }

  outcome(outcome: Outcome): void {
    const { tUs } = outcome;
    if (outcome.kind === 'fault') this.complain(`${tUs} µs: ${outcome.code} ${outcome.source}: ${outcome.detail}`);
    if (outcome.kind !== 'alarm' || outcome.alarm !== 'instrument-lost') return;
    const watched = this.#of(outcome.source);
    if (outcome.state === 'active') {
      this.tally.alarms += watched.alarm ? 0 : 1;
      const early = watched.saneUs + watched.lostUs - tUs;
      if (early > 0) this.complain(`${tUs} µs: ${outcome.source} is called lost ${early} µs too early`);
      if (!watched.alarm && -early > this.#slackUs)
        this.complain(`${tUs} µs: ${outcome.source} is called lost ${-early} µs too late`);
    } else if (watched.saneUs !== tUs) this.complain(`${tUs} µs: ${outcome.source} is called well without a value`);
    if (!watched.alarm) watched.alarmUs = tUs;
    watched.alarm = outcome.state === 'active';
  }

  input(input: Input): void {
    if (input.kind === 'gap') this.tally.gaps += 1;
    if (input.kind === 'wall' && input.cause === 'step') this.steps += 1;
    // while nothing was recorded, nobody was silent
    if (input.kind === 'gap' && input.cause === 'journal-behind') {
      this.gapUs = input.tUs;
      for (const watched of this.#watched.values()) watched.saneUs += input.lostUs;
    }
    if (input.kind === 'link' && input.state === 'closed')
      this.tally.closed[input.reason] = (this.tally.closed[input.reason] ?? 0) + 1;
  }

  /** A value came: what was silent for too long before must have been told. */
  #sane(instrument: string, tUs: number): void {
    const watched = this.#of(instrument);
    if (tUs - watched.saneUs > watched.lostUs + this.#slackUs && !watched.alarm)
      this.complain(`${tUs} µs: ${instrument} was silent for ${(tUs - watched.saneUs) / 1e6} s without an alarm`);
    watched.saneUs = tUs;
  }

  #of(instrument: string): Watched & { readonly lostUs: number } {
    const found = this.#watched.get(instrument);
    if (found === undefined) throw new Error(`${instrument} is not on this bench`);
    return found;
  }
}
