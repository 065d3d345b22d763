/** What of a procedure cannot work on a bench as it works elsewhere: notes for a person, no mistakes. */
import { type BenchDescription, INSIDE_UNITS, type QuantityKind } from '../core/description.ts';
import type { HoldDescription, ProcedureDescription } from '../core/job/procedure.ts';
import { quote } from './mistake.ts';

export function notesOn(procedure: ProcedureDescription, bench: BenchDescription): string[] {
  const { steps, holds } = procedure;
  const notes = holds.flatMap((hold) => ofHold(hold, bench));
  const decides = steps.find(({ kind }) => kind === 'decide');
  if (decides !== undefined && bench.measure.match === null)
    notes.push(`${decides.id} decides by a verdict, and the bench has no measure.match: nothing can be within.`);
  const doses = steps.filter((step) => step.kind === 'dose');
  const needy = doses.find((step) => step.kind === 'dose' && (step.way === 'advice' || step.plan !== null));
  if (needy !== undefined && bench.fluid === null)
    notes.push(`${needy.id} asks how much, and the bench has no fluid: the person must know the amount.`);
  const weighed = procedure.measures.find(({ unit }) => unit === 'kg');
  if (weighed !== undefined && bench.fluid === null)
    notes.push(`${weighed.id} shows mass, and the bench has no fluid: mass cannot be told as litres.`);
  return [...notes, ...ofTargets(procedure, bench)];
}

function ofHold({ id, channel, quantity, side, limit }: HoldDescription, { channels }: BenchDescription): string[] {
  const watched = channels.find((one) => one.id === channel);
  if (watched === undefined || watched.quantity !== quantity) {
    const lacks =
      watched === undefined ? `no channel ${quote(channel)}` : `${quote(channel)} measures ${watched.quantity}`;
    return [`${id}: ${lacks}, so a person watches a gauge: ${quantity} ${side} ${inside(limit, quantity)}.`];
  }
  const { low, high } = watched.range;
  if (limit > low && limit < high) return [];
  return [
    `${id}: ${inside(limit, quantity)} is outside the range of ${quote(channel)}, ${inside(low, quantity)} to ${inside(high, quantity)}.`,
  ];
}

/** A target that the sensor cannot see can never be matched. */
function ofTargets({ steps }: ProcedureDescription, bench: BenchDescription): string[] {
  const level = bench.channels.find(({ id }) => id === bench.measure.levelChannel);
  if (level === undefined) return [];
  const asked = steps.flatMap((step) => (step.kind === 'enter' ? step.asks : []));
  return asked.flatMap((one) => {
    if (one.means !== 'target-level' || one.of !== 'quantity') return [];
    if (one.low < level.range.high && one.high > level.range.low) return [];
    return [
      `${one.name}: ${inside(one.low, 'length')} to ${inside(one.high, 'length')} is outside the range of ${quote(level.id)}.`,
    ];
  });
}

/** "120 kPa", in the unit inside. */
export function inside(value: number, quantity: QuantityKind): string {
  const number = (amount: number): string => String(Number(amount.toPrecision(6)));
  if (quantity === 'humidity') return `${number(100 * value)} %`;
  const unit = INSIDE_UNITS[quantity];
  return `${number(value)} ${unit === 'Cel' ? '°C' : unit}`;
}
