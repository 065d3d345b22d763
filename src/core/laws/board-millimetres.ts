/**
 * Some boards hold the echo's time back and send millimetres that they computed at a speed of sound of their own:
 *   board = offset + c_assumed t/2
 * The time is what was measured, so it is worked out again, and goes through the echo's law with the true speed. For a
 * board that looks down from above the millimetres are a distance, for one that looks up a level or a distance.
 */
import { type EchoFromAboveDescription, type EchoFromBelowDescription, echoFromAbove, echoFromBelow } from './echo.ts';
import { checkedRange, type Law, lawFrom, type Range } from './law.ts';
import { through } from './through.ts';

/** mm as the board shows them → mm. */
export interface BoardMillimetresDescription {
  readonly kind: 'board-millimetres';
  /** The speed that the board computes with, m/s. */
  readonly assumedMPerS: number;
  /** What the board shows for an echo that takes no time. */
  readonly offsetMm: number;
  readonly echo: EchoFromBelowDescription | EchoFromAboveDescription;
}

const ASSUMED_M_PER_S: Range = { low: 100, high: 5000 };
/** Any time that a sensible echo can take. */
const VALID_US: Range = { low: 0, high: 1e6 };

export function boardMillimetres({ assumedMPerS, offsetMm, echo }: BoardMillimetresDescription): Law {
  if (!(assumedMPerS >= ASSUMED_M_PER_S.low && assumedMPerS <= ASSUMED_M_PER_S.high))
    throw new RangeError(
      `the board's speed of sound must lie from ${ASSUMED_M_PER_S.low} to ${ASSUMED_M_PER_S.high} m/s, not at ${assumedMPerS}`,
    );
  const mmPerUs = (1e-3 * assumedMPerS) / 2;
  const undo = lawFrom({
    signalUnit: 'mm',
    unit: 'us',
    source: "the board's own speed of sound, undone",
    context: {},
    validSignal: () =>
      checkedRange("the board's millimetres", {
        low: offsetMm + mmPerUs * VALID_US.low,
        high: offsetMm + mmPerUs * VALID_US.high,
      }),
    at: (mm) => ({ value: (mm - offsetMm) / mmPerUs, derivative: 1 / mmPerUs, partials: {} }),
  });
  const redo = echo.kind === 'echo-from-below' ? echoFromBelow(echo) : echoFromAbove(echo);
  return through(undo, redo);
}
