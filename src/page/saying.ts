/**
 * What the bench says by code and figures, in the language and the units of this screen. Where this page has no words
 * for a code, or a figure is missing, what the bench says itself (English) is shown.
 */
import type { Live, Snapshot } from '../feed/messages.ts';
import { amount, fixed, measured, percent, sensibly } from './format.ts';
import type { Gate } from './judge.ts';
import { staleChannel } from './judge.ts';
import type { View } from './state.ts';
import { convertSize } from './units.ts';
import type { GateSaying } from './words/said-en.ts';
import { componentWords, remedyWords, WORDS } from './words.ts';

type Verdict = NonNullable<Snapshot['verdict']>;
type Health = Live['instruments'][string];

function sayingOf(gate: Gate): GateSaying | undefined {
  return (WORDS.gateSays as Record<string, Record<string, GateSaying>>)[gate.id]?.[gate.why];
}

/** Two or three words to be read from afar; the name of the gate where its code is not known. */
export function gateShort(gate: Gate): string {
  return sayingOf(gate)?.short ?? (WORDS.gateNames as Record<string, string>)[gate.id] ?? gate.id;
}

/** A gate in a sentence. */
export function gateWords(gate: Gate, view: View): string {
  const saying = sayingOf(gate);
  if (saying === undefined) return gate.words;
  const figure = (value: number | null) => (value === null ? '' : gateFigure(gate, value));
  const window = view.bench === null ? null : { low: view.bench.windowLowC, high: view.bench.windowHighC };
  return saying.long({
    value: figure(gate.value),
    limit: figure(gate.limit),
    low: window === null ? '' : amount(window.low, 1, 'Cel'),
    high: window === null ? '' : amount(window.high, 1, 'Cel'),
    channel: staleChannel(view) ?? '',
  });
}

/** A figure of a gate: temperatures and times to a tenth, shares in per cent, the rest as far as it says something. */
export function gateFigure({ unit, id }: Gate, value: number): string {
  if (unit === '1' && id === 'air') return percent(value);
  return unit === 'Cel' || unit === 's'
    ? amount(value, 1, unit)
    : unit === 'mm'
      ? amount(value, 2, unit)
      : sensibly(value, unit);
}

/** How a reading stands to its target, in a sentence or three. */
export function verdictWords({ result, why, judged, words }: Verdict): string {
  if (why !== null) return WORDS.notCompared[why] ?? words;
  if (judged === null || result === 'not-comparable') return words;
  const { differenceMm, U95Mm, toleranceMm, guardMm, probability, improve } = judged;
  const told = measured(Math.abs(differenceMm), U95Mm, 'mm');
  const tolerance = convertSize(toleranceMm, 'mm');
  const share = result === 'within' ? probability.within : result === 'below' ? probability.below : probability.above;
  const figures = {
    size: told.value,
    below: differenceMm < 0,
    uncertainty: told.U,
    tolerance: `${fixed(tolerance, decimalsOf(tolerance))}\u00a0${told.sign}`,
    sure: sureShare(share),
  };
  const nothing = Number(Math.abs(differenceMm).toPrecision(12)) === 0 || !/[1-9]/.test(told.number);
  const fact = WORDS.verdictFact(nothing ? WORDS.verdictAtTarget : WORDS.verdictSide(figures), figures);
  if (result !== 'undecided') return `${fact} ${WORDS.verdictSure(figures)}`;
  const never = guardMm === null || guardMm > toleranceMm;
  return [WORDS.verdictUndecided(fact), ...(never ? [WORDS.verdictNever] : []), ...improveWords(improve)].join(' ');
}

/** Rounded down: nothing is surer than it is. */
function sureShare(share: number): string {
  return share > 0.999 ? WORDS.moreThan(percent(0.999, 1)) : percent(Math.floor(share * 1000) / 1000, 1);
}

/** Four figures at most, no idle zeros. */
function decimalsOf(value: number): number {
  return (String(Number(value.toPrecision(4))).split('.')[1] ?? '').length;
}

/** The advice names the component that it is for; both are told in our words where there are some. */
function improveWords(improve: string | null): string[] {
  if (improve === null) return [];
  const [, remedy, component] = /^(.*) \(most of the doubt: (.*)\)$/.exec(improve) ?? [];
  if (remedy === undefined || component === undefined) return [WORDS.verdictImprove(improve)];
  return [WORDS.verdictDoubt(remedyWords(component) ?? remedy, componentWords(component))];
}

/** What an instrument's link has to say. */
export function linkWords(health: Health): string {
  if (WORDS.linkReasons === null) return health.words;
  return health.floods ? WORDS.floods : (WORDS.linkReasons[health.reason] ?? health.words);
}
