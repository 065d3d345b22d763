/** The two live values with all that is said beside them. */
import { amount, chosen, fixed, uncertainty } from './format.ts';
import { type Freshness, freshness, together } from './judge.ts';
import type { View } from './state.ts';
import { convert } from './units.ts';
import { WORDS } from './words.ts';

export interface LiveFigure {
  readonly id: 'temperature' | 'level';
  readonly title: string;
  readonly value: number | null;
  /** UCUM, with decimals as for this unit. */
  readonly unit: string;
  readonly decimals: number;
  readonly freshness: Freshness;
  readonly more: string;
}

export function temperatureFigure(view: View, nowMs: number): LiveFigure {
  const { bench, live } = view;
  return {
    id: 'temperature',
    title: WORDS.temperature,
    value: live?.temperatureC ?? null,
    unit: 'Cel',
    decimals: 1,
    freshness: freshness(view, bench?.temperatureChannel ?? '', nowMs),
    more:
      bench === null ? '' : WORDS.window(fixed(convert(bench.windowLowC, 'Cel'), 0), chosen(bench.windowHighC, 'Cel')),
  };
}

export function levelFigure(view: View, nowMs: number): LiveFigure {
  const { bench, live } = view;
  const raw = live?.channels[bench?.levelChannel ?? ''];
  const rawUnit = bench?.channels.find((c) => c.id === bench.levelChannel)?.unit ?? 'mm';
  return {
    id: 'level',
    title: bench === null ? WORDS.level : WORDS.levelAt(chosen((live ?? bench).referenceC, 'Cel')),
    value: live?.levelMm ?? null,
    unit: 'mm',
    decimals: levelDecimals(view),
    freshness: together(
      freshness(view, bench?.levelChannel ?? '', nowMs),
      freshness(view, bench?.temperatureChannel ?? '', nowMs),
    ),
    more: [
      raw?.quality !== 'good' ? '' : WORDS.asMeasured(amount(raw.value, 1, rawUnit)),
      typeof live?.volumeL !== 'number' ? '' : WORDS.about(amount(live.volumeL, 2, 'L')),
    ]
      .filter((words) => words !== '')
      .join(' · '),
  };
}

/** As many as the last reading allows; before the first, as many as the tolerance of the level does. */
function levelDecimals({ lastReading, bench }: View): number {
  const U = lastReading?.reading.U95Mm ?? bench?.toleranceMm ?? 1;
  return Math.min(2, uncertainty(U).decimals);
}
