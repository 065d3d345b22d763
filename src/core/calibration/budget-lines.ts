/** Lines of a reading's budget that come from the calibrations of its channels. */
import { line } from '../budget.ts';
import { type ChannelDescription, INSIDE_UNITS } from '../description.ts';
import type { BudgetLine } from '../events.ts';
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
  return components.map(({ words, key, type, effect, degreesOfFreedom }) =>
    key === null
      ? line(words, type, Math.abs(effect), unit, perUnit, degreesOfFreedom)
      : line(words, type, 1, '1', effect * perUnit, degreesOfFreedom),
  );
}
