/** The one place where a description becomes a law. */
import { type FlowPulsesDescription, flowPulses, type MassDescription, mass } from './amounts.ts';
import { type BoardMillimetresDescription, boardMillimetres } from './board-millimetres.ts';
import { type DividerDescription, divider } from './divider.ts';
import { type EchoFromAboveDescription, type EchoFromBelowDescription, echoFromAbove, echoFromBelow } from './echo.ts';
import { type HydrostaticDescription, hydrostatic } from './hydrostatic.ts';
import type { Law } from './law.ts';
import { type NtcDescription, ntc } from './ntc.ts';
import { type PlatinumRtdDescription, platinumRtd } from './platinum-rtd.ts';
import { type TableDescription, table } from './table.ts';
import { type ThermocoupleDescription, thermocouple } from './thermocouple.ts';
import { through } from './through.ts';
import {
  type CurrentLoopDescription,
  currentLoop,
  type LinearDescription,
  linear,
  type RatiometricDescription,
  ratiometric,
  type TwoPointDescription,
  twoPoint,
} from './two-point.ts';

/**
 * One law on top of another: a thermistor behind a divider, a pressure transmitter with a current loop. The first one's
 * unit is the second one's signal unit.
 */
export interface ChainDescription {
  readonly kind: 'chain';
  readonly first: LawDescription;
  readonly second: LawDescription;
}

export type LawDescription =
  | LinearDescription
  | TwoPointDescription
  | CurrentLoopDescription
  | RatiometricDescription
  | DividerDescription
  | ChainDescription
  | PlatinumRtdDescription
  | NtcDescription
  | TableDescription
  | ThermocoupleDescription
  | EchoFromBelowDescription
  | EchoFromAboveDescription
  | BoardMillimetresDescription
  | HydrostaticDescription
  | FlowPulsesDescription
  | MassDescription;

const made = new WeakMap<LawDescription, Law>();

/** The law that a description stands for, made once for each; throws a RangeError where it makes no sense. */
export function lawOf(description: LawDescription): Law {
  const known = made.get(description);
  if (known !== undefined) return known;
  const law = make(description);
  made.set(description, law);
  return law;
}

function make(description: LawDescription): Law {
  switch (description.kind) {
    case 'linear':
      return linear(description);
    case 'two-point':
      return twoPoint(description);
    case 'current-loop':
      return currentLoop(description);
    case 'ratiometric':
      return ratiometric(description);
    case 'divider':
      return divider(description);
    case 'chain':
      return through(lawOf(description.first), lawOf(description.second));
    case 'platinum-rtd':
      return platinumRtd(description);
    case 'ntc':
      return ntc(description);
    case 'table':
      return table(description);
    case 'thermocouple':
      return thermocouple(description);
    case 'echo-from-below':
      return echoFromBelow(description);
    case 'echo-from-above':
      return echoFromAbove(description);
    case 'board-millimetres':
      return boardMillimetres(description);
    case 'hydrostatic':
      return hydrostatic(description);
    case 'flow-pulses':
      return flowPulses(description);
    case 'mass':
      return mass(description);
  }
}
