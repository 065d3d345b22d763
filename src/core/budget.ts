/** Lines of an uncertainty budget (GUM, clause 5), and those that come from what a law leans on. */
import type { Influence } from './context.ts';
import type { ChannelDescription } from './description.ts';
import type { BudgetLine } from './events.ts';
import type { ContextName } from './laws/law.ts';

export function line(
  component: string,
  type: 'A' | 'B',
  u: number,
  unit: string,
  sensitivity: number,
  degreesOfFreedom: number | null,
): BudgetLine {
  return { component, type, u, unit, sensitivity, contributionMm: Math.abs(sensitivity) * u, degreesOfFreedom };
}

const WORDS: Readonly<Record<ContextName, readonly [words: string, unit: string]>> = {
  coldJunctionC: ['temperature of the cold junction', 'K'],
  soundMPerS: ['speed of sound in the fluid', 'm/s'],
  airC: ['temperature of the air', 'K'],
  relativeHumidity: ['humidity of the air', '1'],
  airPressureKPa: ['pressure of the air', 'kPa'],
  densityKgPerM3: ['density of the fluid', 'kg/m3'],
  gravityMPerS2: ['acceleration of free fall', 'm/s2'],
  supplyV: ['supply voltage', 'V'],
};

/** ∂value/∂temperature by way of the fluid properties that follow this channel's temperature. */
export function byTemperature(influences: readonly Influence[], temperatureChannel: string): number {
  return influences
    .filter((one) => one.temperatureChannel === temperatureChannel)
    .reduce((sum, { partial, perK }) => sum + partial * perK, 0);
}

/**
 * What a channel's law leans on. `perUnit` is ∂level/∂channel; the temperature of `counted` has its own lines already,
 * other temperatures get theirs here.
 */
export function influenceLines(
  channel: ChannelDescription,
  influences: readonly Influence[],
  perUnit: number,
  channels: readonly ChannelDescription[],
  counted: string,
): BudgetLine[] {
  return influences.flatMap(({ name, u, partial, perK, temperatureChannel }) => {
    const [words, unit] = WORDS[name];
    const component = `${words} (${channel.id})`;
    const own = line(component, 'B', u, unit, perUnit * partial, null);
    const follows = channels.find(({ id }) => id === temperatureChannel);
    if (follows === undefined || follows.id === counted) return [own];
    const { standardUncertainty: uK, resolution } = follows;
    const both = Math.sqrt(uK * uK + (resolution * resolution) / 12);
    return [own, line(`temperature behind the ${component}`, 'B', both, 'K', perUnit * partial * perK, null)];
  });
}
