/** Lines of a reading's budget that come from what a law leans on. */
import type { Influence } from './context.ts';
import type { ChannelDescription } from './description.ts';
import type { ContextName } from './laws/law.ts';
import { type BudgetLine, instrumentError, line, normal, rectangular } from './uncertainty/line.ts';

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
  return influences.flatMap(({ name, sources, step, partial, perK, temperatureChannel }) => {
    const [words, unit] = WORDS[name];
    const component = `${words} (${channel.id})`;
    const sensitivity = perUnit * partial;
    const own = [
      ...sources.map(({ name: source, signedU, shared }) =>
        line(
          source === null || sources.length === 1 ? component : `${source} (${channel.id})`,
          normal(Math.abs(signedU), unit),
          { sensitivity: signedU < 0 ? -sensitivity : sensitivity, shared },
        ),
      ),
      ...stepLine(component, step, unit, sensitivity),
    ];
    const follows = channels.find(({ id }) => id === temperatureChannel);
    if (follows === undefined || follows.id === counted) return own;
    const behind = `temperature behind the ${component}`;
    const bySlope = sensitivity * perK;
    const { id, standardUncertainty, resolution } = follows;
    return [
      ...own,
      line(behind, normal(standardUncertainty, 'K'), { sensitivity: bySlope, shared: instrumentError(id) }),
      ...stepLine(behind, resolution, 'K', bySlope),
    ];
  });
}

/** What is measured comes in steps of its own. */
function stepLine(component: string, step: number, unit: string, sensitivity: number): BudgetLine[] {
  return step > 0 ? [line(`resolution of the ${component}`, rectangular(step / 2, unit), { sensitivity })] : [];
}
