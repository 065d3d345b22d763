/**
 * The zero of the level sensor, looked at on a block of known height before the first and after the last reading of a
 * job. What it moved in between belongs to the uncertainty of a match; past a limit the readings between are suspect.
 */

import type { AlarmNews } from '../alarms/tell.ts';
import type { ChannelDescription } from '../description.ts';
import type { BudgetLine, Carried, Reading } from '../events.ts';
import { staleAfterUs } from '../limits.ts';
import { line, rectangular } from '../uncertainty/line.ts';

/** The level sensor on a block of known height, during a job. */
export interface ZeroCheck {
  readonly job: number;
  readonly channel: string;
  readonly expectedMm: number;
  readonly meanMm: number;
  /** Standard uncertainty of the mean, from its scatter and the resolution. */
  readonly uMm: number;
  readonly count: number;
  /** Shown minus expected. */
  readonly errorMm: number;
  /** Since the check before in this job; null for the first. */
  readonly driftMm: number | null;
  readonly limitMm: number;
  /** Readings since the check before that must not be relied on: the drift is over the limit. */
  readonly suspect: readonly number[];
}

/** Values of the level channel of the last seconds, newest last. */
export type ZeroWindow = { tUs: number; value: number }[];

const OVER_US = 10_000_000;
const MOST = 200;
const LEAST = 5;
/** Without a limit of the bench: three standard uncertainties of the instrument. */
const DEFAULT_LIMIT = 3;

export function noteValue(window: ZeroWindow, tUs: number, value: number): void {
  window.push({ tUs, value });
  while (window.length > MOST || (window[0] !== undefined && tUs - window[0].tUs > OVER_US)) window.shift();
}

export interface OnBlock {
  readonly meanMm: number;
  readonly uMm: number;
  readonly count: number;
}

/** Mean of the values since the block has been under the sensor; null while they are few, old or not calm. */
export function onBlock(window: ZeroWindow, channel: ChannelDescription, calmMm: number, tUs: number): OnBlock | null {
  const last = window.at(-1);
  if (last === undefined || tUs - last.tUs > staleAfterUs(channel.intervalUs)) return null;
  const allowed = Math.max(calmMm, 6 * channel.resolution);
  let low = last.value;
  let high = last.value;
  let from = window.length;
  // Back to where another thing was measured: the block may have been put there a moment ago.
  while (from > 0) {
    const { value } = window[from - 1] as ZeroWindow[number];
    low = Math.min(low, value);
    high = Math.max(high, value);
    if (high - low > allowed) break;
    from--;
  }
  const values = window.slice(from).map(({ value }) => value);
  if (values.length < LEAST) return null;
  const meanMm = values.reduce((sum, value) => sum + value, 0) / values.length;
  const squares = values.reduce((sum, value) => sum + (value - meanMm) * (value - meanMm), 0);
  const n = values.length;
  const { resolution } = channel;
  return { meanMm, uMm: Math.sqrt(squares / (n * (n - 1)) + (resolution * resolution) / 12), count: n };
}

/** The next check of the job, with what it says about the readings since the one before. */
export function zeroCheck(
  found: OnBlock,
  expectedMm: number,
  channel: string,
  limits: { readonly zeroLimitMm?: number; readonly statedU: number },
  { zero, job }: Carried,
): ZeroCheck {
  const before = zero?.checks.at(-1) ?? null;
  const errorMm = found.meanMm - expectedMm;
  const driftMm = before === null ? null : errorMm - before.errorMm;
  const limitMm = limits.zeroLimitMm ?? DEFAULT_LIMIT * limits.statedU;
  const exceeded = driftMm !== null && Math.abs(driftMm) > limitMm;
  return {
    job: job?.id ?? 0,
    channel,
    expectedMm,
    meanMm: found.meanMm,
    uMm: found.uMm,
    count: found.count,
    errorMm,
    driftMm,
    limitMm,
    suspect: exceeded ? [...(zero?.since ?? [])] : [],
  };
}

/** Stands until the job is closed; the outcome of the check stays for good. */
export function zeroAlarm({ channel, driftMm, suspect }: ZeroCheck): AlarmNews {
  const readings = `${suspect.length === 1 ? 'reading' : 'readings'} ${suspect.join(', ')}`;
  const why = `the zero moved by ${(driftMm ?? 0).toFixed(2)} mm: ${readings} must not be relied on`;
  return { alarm: 'zero-moved', source: channel, state: 'active', priority: 'high', why };
}

const ZERO_LINE = 'zero between its checks';

/** A reading as sure as it is now that the zero was looked at again. */
export function withZeroDrift(reading: Reading, drift: BudgetLine): Reading {
  return { ...reading, budget: [...reading.budget.filter(({ component }) => component !== ZERO_LINE), drift] };
}

/**
 * The error of one reading among the checks of its job: rectangular over all that the zero moved, width/√12 (GUM 4.3.7),
 * and independent between readings, since nobody knows when it moved. Null with fewer than two checks.
 */
export function zeroDriftLine({ zero }: Pick<Carried, 'zero'>): BudgetLine | null {
  const errors = zero?.checks.map(({ errorMm }) => errorMm) ?? [];
  if (errors.length < 2) return null;
  return line(ZERO_LINE, rectangular((Math.max(...errors) - Math.min(...errors)) / 2, 'mm'));
}
