/**
 * `stillwell balance bench.yaml`: what was drained and filled in, against the level. Before the level is read again: how
 * much to fill in.
 */
import { drivers } from '../../drivers/index.ts';
import type { BenchDescription } from '../core/description.ts';
import { kgPerUnit, type Measure } from '../core/dosing/amounts.ts';
import {
  balance as balanced,
  type Change,
  changeByFactor,
  changeByVessel,
  ENTRY_KINDS,
  type Entry,
  type EntryKind,
} from '../core/dosing/balance.ts';
import { type Exchange, freshInWords, freshShares } from '../core/dosing/fresh-share.ts';
import { type Refill, refillPlan, startFill } from '../core/dosing/refill.ts';
import type { ResponsePrior } from '../core/dosing/response.ts';
import { type Fluid, fluidOf } from '../core/fluids/fluid.ts';
import { plain, toldUncertainty } from '../core/uncertainty/rounding.ts';
import { vesselOf } from '../core/vessels/vessel.ts';
import type { DriverRegistry } from '../kit/driver.ts';
import { dosingBench } from './dosing-bench.ts';
import type { Out } from './out.ts';

export interface AmountAt {
  readonly amount: number;
  readonly tC: number;
}

export interface BalanceOptions {
  /** L at °C, in the order in which they happened within each kind. */
  readonly in?: readonly AmountAt[];
  readonly out?: readonly AmountAt[];
  readonly spilled?: readonly AmountAt[];
  readonly left?: readonly AmountAt[];
  /** Levels as readings tell them, mm, and the standard uncertainty of their difference. */
  readonly before?: number;
  readonly after?: number;
  readonly levelU: number;
  /** °C that the levels stand for. */
  readonly temperature?: number;
  readonly pourAt: number;
  readonly measurePercent: number;
  readonly eachU: number;
  readonly prior?: ResponsePrior;
  /** L that go in besides. */
  readonly allowance: number;
  /** All the fluid before the job, L at the temperature of the levels; for the fresh share. */
  readonly held?: number;
  /** mm below which the pump draws air; L that the machine takes when it starts. */
  readonly pickUp?: number;
  readonly takes: number;
}

const U_TEMPERATURE_K = 2;
/** Standard uncertainties where nobody stated one, as a share: of all the fluid held, of what an allowance or a start takes. Our estimate, no source. */
const U_HELD = 0.05;
const U_ALLOWANCE = 0.2;
/** mm that the level keeps above the pick-up. Our estimate, no source. */
const MARGIN_MM = 5;
const K95 = 1.959963984540054;

export function balance(file: string, options: BalanceOptions, out: Out, registry: DriverRegistry = drivers): number {
  const { bench, fluid } = dosingBench(file, registry);
  const levelC = options.temperature ?? bench.measure.referenceC;
  const oil = fluidOf(fluid);
  const entries = entriesOf(options, oil);
  const { before: beforeMm, after: afterMm } = options;
  if (beforeMm === undefined || afterMm === undefined) {
    const plan = refillOf(entries, options, { oil, levelC });
    const planned = entriesOf({ ...options, in: [{ amount: plan.litres, tC: options.pourAt }] }, oil);
    const then = freshLines(planned, options, { oil, levelC });
    out.write([...refillLines(bench, plan, options, levelC), ...then, ''].join('\n'));
    return 0;
  }
  const levels = { beforeMm, afterMm, uDifferenceMm: options.levelU };
  const change = changeOf(bench, levelC, levels, options.prior);
  if (change === null || !change.inRange) {
    out.write(
      change === null
        ? 'This bench has no vessel: state what a litre moves, such as --prior 9.5,1.2 (mm per litre, spread).\n'
        : 'The levels lie outside what is known of the vessel.\n',
    );
    return 1;
  }
  const result = balanced(entries, change, levels, levelC);
  const { litres, countedL, changeL, misclosureL, U95L } = result;
  const U = toldUncertainty(U95L);
  const l = (value: number): string => `${plain(value, Math.max(2, U.decimals))} L`;
  const side = misclosureL > 0 ? 'missing' : 'too much';
  const lines = [
    `All at ${plain(levelC, 1)} °C:`,
    `  in ${l(litres.in)} − out ${l(litres.out)} − spilled ${l(litres.spilled)} − left behind ${l(litres.left)} = ${l(countedL)}`,
    `  by the level, ${plain(beforeMm, 1)} to ${plain(afterMm, 1)} mm: ${l(changeL)}`,
    '',
    result.closed
      ? `It closes: ${l(Math.abs(misclosureL))} ${side}, within ± ${U.text} L.`
      : `It does not close: ${l(Math.abs(misclosureL))} ${side}, more than ± ${U.text} L. Likely causes:`,
    ...result.causes.map(({ words }) => `  ${words}`),
    ...(result.inRange ? [] : ['The fluid is used outside what is known of it: this does not count.']),
    ...freshLines(entries, options, { oil, levelC }),
    '',
  ];
  out.write(lines.join('\n'));
  return result.closed && result.inRange ? 0 : 1;
}

function entriesOf(options: BalanceOptions, fluid: Fluid): Entry[] {
  const measure: Measure = {
    ...{ gauge: { kind: 'volume' }, step: 0.01 },
    ...{ uShare: options.measurePercent / 100, uEach: options.eachU },
  };
  const name: Readonly<Record<EntryKind, string>> = { in: 'in', out: 'out', spilled: 'spilled', left: 'left behind' };
  return ENTRY_KINDS.flatMap((kind) =>
    (options[kind] ?? []).map(({ amount, tC }, i) => ({
      ...{ id: `${name[kind]} ${i + 1}`, kind, amount, tC, uTemperatureK: U_TEMPERATURE_K },
      ...{ fluid, measure, measureId: 'jug' },
    })),
  );
}

function changeOf(
  { vessel }: BenchDescription,
  levelC: number,
  levels: Parameters<typeof changeByVessel>[2],
  prior?: ResponsePrior,
): Change | null {
  if (prior !== undefined) return changeByFactor(prior.mmPerLitre, prior.spread, levels);
  return vessel === null ? null : changeByVessel(vesselOf(vessel), levelC, levels);
}

interface At {
  readonly oil: Fluid;
  readonly levelC: number;
}

function refillOf(entries: readonly Entry[], options: BalanceOptions, { oil, levelC }: At): Refill {
  const gone = entries.filter(({ kind }) => kind !== 'in');
  const allowances =
    options.allowance > 0
      ? [{ what: 'allowance', litres: options.allowance, uLitres: U_ALLOWANCE * options.allowance }]
      : [];
  return refillPlan(gone, allowances, {
    ...{ fresh: oil, levelC, pourC: options.pourAt, uPouredK: U_TEMPERATURE_K },
  });
}

function refillLines(bench: BenchDescription, plan: Refill, options: BalanceOptions, levelC: number): string[] {
  const lines = [
    `Fill in ${plain(plan.litres, 2)} L at ${plain(options.pourAt, 0)} °C (± ${toldUncertainty(K95 * plan.uLitres).text} L):`,
    `  ${plain(plan.replacesL, 2)} L for what went out, brought to that temperature, and ${plain(plan.allowanceL, 2)} L allowance.`,
    ...(plan.inRange ? [] : ['The fluid is used outside what is known of it: this does not count.']),
  ];
  const { pickUp, before } = options;
  if (pickUp === undefined || before === undefined || bench.vessel === null) return lines;
  const start = { pickUpMm: pickUp, marginMm: MARGIN_MM, takesL: options.takes, uTakesL: U_ALLOWANCE * options.takes };
  const fill = startFill(vesselOf(bench.vessel), before, levelC, start);
  if (!fill.inRange) return [...lines, 'What must be in before the start lies outside what is known of the vessel.'];
  return [
    ...lines,
    fill.enough
      ? `Enough is in for a start: the level comes down to ${plain(fill.afterStartMm, 1)} mm, ${plain(MARGIN_MM, 0)} mm and more above the pick-up.`
      : `Do not start yet: ${plain(fill.lackingL, 2)} L are lacking until ${plain(fill.leastMm, 1)} mm, so that the pump draws no air.`,
  ];
}

/** Out of the vessel in the order out, spilled, left, then in, then mixed by the running machine. */
function freshLines(entries: readonly Entry[], { held }: BalanceOptions, { oil, levelC }: At): string[] {
  if (held === undefined) return [];
  const kg = (amount: number, tC: number): number => amount * kgPerUnit(oil, { kind: 'volume' }, tC).value;
  const order = (kind: EntryKind): number => (kind === 'in' ? 1 : 0);
  const exchanges = [...entries]
    .sort((a, b) => order(a.kind) - order(b.kind))
    .map(
      ({ kind, amount, tC, measure }): Exchange => ({
        kind: kind === 'in' ? 'add' : 'drain',
        mass: { kg: kg(amount, tC), uKg: kg(amount * measure.uShare + measure.uEach, tC) },
      }),
    );
  const all = kg(held, levelC);
  if (exchanges.reduce((sum, one) => sum + (one.kind === 'drain' ? one.mass.kg : 0), 0) > all)
    return ['More went out than the machine held: no fresh share can be told.'];
  const before = { vessel: { kg: all, uKg: U_HELD * all }, circuit: { kg: 0, uKg: 0 }, freshBefore: 0 };
  const { all: share } = freshShares(before, [...exchanges, { kind: 'run' }]);
  return [`${freshInWords(share)} (± ${Math.max(1, Math.ceil(100 * K95 * share.u))} %) once the machine has run.`];
}
