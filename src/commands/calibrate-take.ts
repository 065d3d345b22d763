/** Taking one point: live once it rests, or as a person reads it off a display. */
import type { Certificate } from '../core/calibration/certificate.ts';
import { echoLawOf } from '../core/calibration/echo-law.ts';
import type { InForce } from '../core/calibration/in-force.ts';
import { type BenchDescription, type ChannelDescription, INSIDE_UNITS, TYPED } from '../core/description.ts';
import { StillwellError } from '../errors.ts';
import { strictNumber } from '../kit/numbers.ts';
import type { Live } from './calibrate-live.ts';
import type { CalibrateOptions } from './calibrate-options.ts';
import type { Talk } from './talk.ts';

/** Everything that a kind of calibration works with. */
export interface Taking {
  readonly bench: BenchDescription;
  readonly channel: ChannelDescription;
  readonly options: CalibrateOptions;
  readonly before: InForce;
  readonly talk: Talk;
  /** Opens the instruments with the first point that is taken live; `echo`: as times, not as levels. */
  live(echo: boolean): Live;
}

export interface Taken {
  readonly mean: number;
  readonly u: number;
  readonly count: number;
}

/** What a kind of calibration comes to. */
export type Outcome = Pick<Certificate, 'reference' | 'points' | 'result'> & {
  /** Lines for the person: what was found and how good it is. */
  readonly words: readonly string[];
  /** What must be looked at by a person before it is kept. */
  readonly caution?: string | null;
};

/** Handbook value, to tell a step of an echo time from a step of a level; nothing is computed with it. */
const ORDINARY_M_PER_S = 1440;
const PLACE_AND_TYPE = 'Enter once it is in place, or type what a display shows: ';

export const US_PER_MM = 2000 / ORDINARY_M_PER_S;

/** What one value has at least: half a step of the display as a rectangle; without a known step all that the bench states. */
export function leastU({ channel }: Pick<Taking, 'channel'>, echo: boolean): number {
  const { resolution, standardUncertainty } = channel;
  const own = resolution > 0 ? resolution / Math.sqrt(12) : standardUncertainty;
  return own * (echo ? US_PER_MM : 1);
}

export async function takePoint(taking: Taking, what: string, echo = false): Promise<Taken> {
  const { talk, channel, options } = taking;
  talk.write(`${what}\n`);
  const unit = echo ? 'µs' : shownUnit(channel);
  for (;;) {
    const answer = await talk.ask(channel.instrument === TYPED ? `What the display shows, ${unit}: ` : PLACE_AND_TYPE);
    if (answer === null)
      throw new StillwellError('calibration-impossible', channel.id, 'nobody answers: give the points with --points');
    const typed = strictNumber(answer.replace(/^−/, '-'));
    if (typed !== null) return { mean: typed, u: leastU(taking, echo), count: 1 };
    if (answer === '' && channel.instrument !== TYPED) break;
    talk.write('A plain number is expected, such as 12.5\n');
  }
  const scale = echo ? US_PER_MM : 1;
  const taken = await taking.live(echo).settle(channel.id, {
    overUs: options.calmS * 1e6,
    within: (channel.standardUncertainty * scale) / 2,
    resolution: channel.resolution * scale,
  });
  talk.write(`  ${withU(taken.mean, taken.u)} ${unit} (mean of ${taken.count}, standard uncertainty)\n`);
  return taken;
}

export function shownUnit({ quantity }: ChannelDescription): string {
  return INSIDE_UNITS[quantity] === 'Cel' ? '°C' : INSIDE_UNITS[quantity];
}

/** Unit of a difference. */
export function stepUnit({ quantity }: ChannelDescription): string {
  return INSIDE_UNITS[quantity] === 'Cel' ? 'K' : INSIDE_UNITS[quantity];
}

export function shown(value: number): string {
  return String(Number(value.toPrecision(5)));
}

/** The channel's law must time an echo. */
export function echoOf({ channel }: Taking) {
  const law = echoLawOf(channel.law);
  if (law !== null) return law;
  throw new StillwellError(
    'calibration-impossible',
    channel.id,
    'this channel times no echo: calibrate its values with two-point or n-point',
  );
}

/** A value to the digits that its uncertainty leaves, the uncertainty to two. */
export function withU(value: number, u: number): string {
  if (!(u > 0)) return `${shown(value)} ± 0`;
  const decimals = Math.min(20, Math.max(0, 1 - Math.floor(Math.log10(u))));
  return `${value.toFixed(decimals)} ± ${u.toFixed(decimals)}`;
}
