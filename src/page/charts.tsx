/** The two charts: temperature with its window, level as measured and at the reference temperature. */
import { Chart } from './chart.tsx';
import type { Desk } from './desk.ts';
import { chosen, decimalsIn, fixed, measured, unitSign } from './format.ts';
import { OldMark } from './old-mark.tsx';
import type { Picture } from './plot.ts';
import type { View } from './state.ts';
import { type Column, type Columns, valueRange } from './trace.ts';
import { type ChartName, SPAN_S } from './traces.ts';
import { convert, convertSize, shownIn } from './units.ts';
import { WORDS } from './words.ts';

/** Widths of the time axis, seconds: the shortest that holds what there is. */
const SPANS_S = [120, 300, SPAN_S];

export function Charts({ desk, view }: { readonly desk: Desk; readonly view: View }) {
  const { bench } = view;
  const temperature = () => pictureOf('temperature', desk);
  const level = () => pictureOf('level', desk);
  const reference = bench === null ? '' : WORDS.chart.atReference(chosen((view.live ?? bench).referenceC, 'Cel'));
  return (
    <div class={view.link === 'live' ? 'charts' : 'charts old'}>
      <figure>
        <figcaption>
          {WORDS.temperature} <span class="in">{unitSign('Cel')}</span> <OldMark view={view} />{' '}
        </figcaption>
        <Chart name="temperature" picture={temperature} subscribe={desk.subscribe} />
      </figure>
      <figure>
        <figcaption>
          {WORDS.level} <span class="in">{unitSign('mm')}</span> <OldMark view={view} />{' '}
          <span class="key beside">{reference}</span> <span class="key line">{WORDS.chart.asMeasured}</span>{' '}
          <span class="key mark">{WORDS.chart.reading}</span>
        </figcaption>
        <Chart name="level" picture={level} subscribe={desk.subscribe} />
      </figure>
    </div>
  );
}

/** All that a chart shows at this moment. */
function pictureOf(name: ChartName, desk: Desk): Picture {
  const title = name === 'level' ? WORDS.level : WORDS.temperature;
  const ucum = name === 'level' ? 'mm' : 'Cel';
  const shown = (value: number) => convert(value, ucum);
  const { view, traces } = desk;
  const { bench } = view;
  const nowS = traces.nowS;
  const whole = inUnit(traces[name].columns(nowS - SPAN_S, traces.gapS(name)), ucum);
  const heldS = nowS - (whole[0][0] ?? nowS);
  const spanS = SPANS_S.find((s) => heldS <= s) ?? SPAN_S;
  const window = bench === null || name === 'level' ? [] : [shown(bench.windowLowC), shown(bench.windowHighC)];
  const least = convertSize(name === 'level' ? Math.max(2, 4 * (bench?.toleranceMm ?? 0)) : 4, ucum);
  const decimals = decimalsIn(1, ucum);
  const range = valueRange(whole, window, least);
  const [low, high] = range;
  return {
    summary:
      traces[name].size === 0
        ? WORDS.chart.empty(title)
        : WORDS.chart.summary(
            title,
            Math.round(spanS / 60),
            fixed(low, decimals),
            `${fixed(high, decimals)} ${unitSign(ucum)}`,
          ),
    columns: whole,
    nowS,
    spanS,
    range,
    band:
      bench === null || name === 'level'
        ? null
        : { low: shown(bench.windowLowC), high: shown(bench.windowHighC), words: WORDS.chart.window },
    spells: view.spells.map(({ fromMs, toMs }) => ({ fromS: fromMs / 1000, toS: toMs === null ? nowS : toMs / 1000 })),
    spellWords: WORDS.chart.readySpell,
    marks: view.marks.map(({ utc, reading }) => ({
      tS: Date.parse(utc) / 1000,
      value: shown(name === 'level' ? reading.levelMm : reading.temperatureC),
      words: name === 'level' ? measured(reading.levelMm, reading.U95Mm, 'mm').number : '',
    })),
    timeWords: (minutes) =>
      minutes === 0 ? (view.link === 'live' ? WORDS.chart.now : WORDS.chart.last) : WORDS.chart.minutes(minutes),
  };
}

/** The columns in the unit of this screen; the very same where that is the unit they are in. */
function inUnit(columns: Columns, ucum: string): Columns {
  const { factor, offset } = shownIn(ucum);
  if (factor === 1 && offset === 0) return columns;
  const turned = (column: Column): Column => column.map((value) => (value === null ? null : value * factor + offset));
  return [columns[0], turned(columns[1]), turned(columns[2]), turned(columns[3])];
}
