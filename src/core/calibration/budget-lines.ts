/** Lines of a reading's budget that come from the calibrations of its channels. */
import { type ChannelDescription, INSIDE_UNITS } from '../description.ts';
import { type BudgetLine, line, normal, scatter } from '../uncertainty/line.ts';
import type { CalibrationComponent } from './components.ts';

/**
 * `perUnit` is ∂level/∂channel. A shared component is a number of standard deviations, the same in every value, whose
 * sensitivity is what one of them does here, with its sign: so it cancels in a difference of readings. What nothing else
 * shares is told in the unit of the channel.
 */
export function calibrationLines(
  { quantity }: ChannelDescription,
  components: readonly CalibrationComponent[],
  perUnit: number,
): BudgetLine[] {
  const unit = INSIDE_UNITS[quantity] === 'Cel' ? 'K' : INSIDE_UNITS[quantity];
  return components.map(({ words, key, type, effect, degreesOfFreedom }) => {
    const [value, valueUnit, sensitivity] =
      key === null ? [Math.abs(effect), unit, perUnit] : [1, '1', effect * perUnit];
    const stated =
      type === 'A' ? scatter(value, valueUnit, degreesOfFreedom) : normal(value, valueUnit, 1, degreesOfFreedom);
    return line(words, stated, { sensitivity, shared: key });
  });
}
