/** The table, as Markdown that is read as well on a terminal. */
import { type BenchScore, LISTED_LIMITS } from './one-bench.ts';
import type { DetectorScore } from './score.ts';
import {
  asGood,
  atEqualFalse,
  type Figures,
  figuresOf,
  forecastFigures,
  readingFigures,
  type SpreadHoldFigures,
  spreadHoldFigures,
  sum,
} from './summary.ts';
import { CAUSES } from './truth.ts';

const percent = (share: number, digits = 2) => (Number.isNaN(share) ? 'none' : `${(100 * share).toFixed(digits)} %`);
const seconds = (s: number) => (s === Number.POSITIVE_INFINITY ? 'never' : Number.isNaN(s) ? 'none' : s.toFixed(1));
const inSeconds = (s: number) => (Number.isFinite(s) ? `${s.toFixed(1)} s` : seconds(s));
const held = (ok: boolean) => (ok ? 'held' : '**not held**');

export function report(benches: readonly BenchScore[]): string {
  const ours = figuresOf(benches, (bench) => bench.ours);
  const oracle = figuresOf(benches, (bench) => bench.oracle);
  const all = spreadHoldFigures(benches);
  const listed = all.filter(({ limit }) => LISTED_LIMITS.includes(limit));
  return [
    mainTable(ours, oracle, listed),
    againstSpreadHold(ours, all, listed),
    targets(benches, ours, oracle),
    byRate(benches),
    byCause(benches),
  ].join('\n\n');
}

function row(name: string, f: Figures): string {
  const missed = `${f.missed} of ${f.spells}`;
  return `| ${name} | ${percent(f.falseShare)} | ${percent(f.knowableFalseShare)} | ${missed} | ${seconds(f.medianS)} | ${seconds(f.p90S)} | ${f.onsetsPerSpell.toFixed(2)} |`;
}

function mainTable(ours: Figures, oracle: Figures, listed: readonly SpreadHoldFigures[]): string {
  return [
    '| detector | false | false, from the first sample that could tell | missed | median delay, s | 90th percentile, s | onsets a spell |',
    '|---|---|---|---|---|---|---|',
    row('**ours**', ours),
    row('oracle', oracle),
    ...listed.map((one) => row(nameOf(one), one)),
  ].join('\n');
}

function nameOf({ holdS, withMedian, limit }: SpreadHoldFigures): string {
  return `spread over ${holdS} s within ${limit} × tolerance${withMedian ? ', median of 5' : ''}`;
}

function againstSpreadHold(ours: Figures, all: readonly SpreadHoldFigures[], listed: readonly SpreadHoldFigures[]) {
  const better = listed.filter((one) => asGood(one, ours)).map(nameOf);
  const said =
    better.length === 0
      ? 'No spread-hold setting is as good or better on all three of false, missed and late (median delay).'
      : `**As good or better on all three of false, missed and late: ${better.join('; ')}.**`;
  const rows = atEqualFalse(all, ours).map(({ holdS, withMedian, best }) => {
    const name = `spread over ${holdS} s${withMedian ? ', median of 5' : ''}`;
    const beaten = ours.missed < best.missed && ours.medianS < best.medianS;
    const limit = `within ${best.limit} × tolerance, false ${percent(best.falseShare)}`;
    const narrowest = best.falseShare > ours.falseShare ? ' (its narrowest, and still falser than ours)' : '';
    return `| ${name} | ${limit}${narrowest} | ${best.missed} | ${seconds(best.medianS)} | ${beaten ? 'yes' : '**no**'} |`;
  });
  return [
    said,
    '',
    'At equal false share (the widest limit of each hold that is no falser than ours, narrower ones than listed included):',
    '',
    '| detector | limit | missed | median delay, s | ours better on both |',
    '|---|---|---|---|---|',
    ...rows,
  ].join('\n');
}

function targets(benches: readonly BenchScore[], ours: Figures, oracle: Figures): string {
  const fast = benches.filter(({ hz }) => hz >= 5);
  const oursFast = figuresOf(fast, (bench) => bench.ours);
  const readings = readingFigures(benches.flatMap(({ reading }) => reading ?? []));
  const forecast = forecastFigures(benches, false);
  const anyForecast = forecastFigures(benches, true);
  const untold = sum(benches.map((bench) => bench.untold));
  const line = (what: string, target: string, found: string, ok: boolean) =>
    `| ${what} | ${target} | ${found} | ${held(ok)} |`;
  return [
    '| figure | target | found | |',
    '|---|---|---|---|',
    line('unfit time with ready shown', '≤ 0.1 %', percent(ours.falseShare, 3), ours.falseShare <= 0.001),
    line('fit spells missed', '0', `${ours.missed} of ${ours.spells}`, ours.missed === 0),
    line(
      'median delay',
      `≤ 1.3 × the oracle’s ${inSeconds(oracle.medianS)}`,
      inSeconds(ours.medianS),
      ours.medianS <= 1.3 * oracle.medianS,
    ),
    line(
      '90th percentile of the delay',
      `≤ 2 × the oracle’s ${inSeconds(oracle.p90S)}`,
      inSeconds(ours.p90S),
      ours.p90S <= 2 * oracle.p90S,
    ),
    line('median delay at 5 Hz and better', '≤ 3 s', inSeconds(oursFast.medianS), oursFast.medianS <= 3),
    line('90th percentile at 5 Hz and better', '≤ 10 s', inSeconds(oursFast.p90S), oursFast.p90S <= 10),
    line(
      `truth within ± U95 (${readings.count} readings, one a bench)`,
      '94 to 98 %',
      percent(readings.coverage, 1),
      readings.coverage >= 0.94 && readings.coverage <= 0.98,
    ),
    line(
      `median U95 (${readings.sharp} readings of benches that allow it)`,
      '≤ a third of the tolerance',
      percent(readings.medianU, 0),
      readings.medianU <= 1 / 3,
    ),
    line(
      `openings within the 90 % interval (${forecast.count} forecasts; undisturbed)`,
      '85 to 95 %',
      percent(forecast.coverage, 1),
      forecast.coverage >= 0.85 && forecast.coverage <= 0.95,
    ),
    line(
      'median error of the forecast, of the time remaining',
      '≤ 10 %',
      percent(forecast.medianError, 1),
      forecast.medianError <= 0.1,
    ),
    '',
    `Forecasts with a change of load, engine or fluid before the opening counted too: ${percent(anyForecast.coverage, 1)} within, median error ${percent(anyForecast.medianError, 1)} (${anyForecast.count}). No forecast was given at ${untold} of the moments asked.`,
  ].join('\n');
}

const RATES: readonly (readonly [string, number, number])[] = [
  ['below 1 Hz', 0, 1],
  ['1 to 5 Hz', 1, 5],
  ['5 to 20 Hz', 5, 20],
  ['20 Hz and more', 20, Number.POSITIVE_INFINITY],
];

function byRate(benches: readonly BenchScore[]): string {
  const rows = RATES.map(([name, low, high]) => {
    const part = benches.filter(({ hz }) => hz >= low && hz < high);
    const ours = figuresOf(part, (bench) => bench.ours);
    const oracle = figuresOf(part, (bench) => bench.oracle);
    return `| ${name} | ${part.length} | ${percent(ours.falseShare)} | ${percent(ours.knowableFalseShare)} | ${ours.missed} of ${ours.spells} | ${seconds(ours.medianS)} (${seconds(oracle.medianS)}) | ${seconds(ours.p90S)} (${seconds(oracle.p90S)}) |`;
  });
  return [
    'Ours by sample rate (the oracle’s in brackets):',
    '',
    '| rate | benches | false | false, knowable | missed | median delay, s | 90th percentile, s |',
    '|---|---|---|---|---|---|---|',
    ...rows,
  ].join('\n');
}

function byCause(benches: readonly BenchScore[]): string {
  const shown = (pick: (bench: BenchScore) => DetectorScore) =>
    CAUSES.map((cause) => `${cause} ${sum(benches.map((bench) => pick(bench).falseByCause[cause])).toFixed(1)} s`).join(
      ', ',
    );
  const unfitS = sum(benches.map(({ unfitS }) => unfitS)).toFixed(0);
  return [
    `Ready shown in unfit time (${unfitS} s in all), by what made it unfit at that moment:`,
    '',
    `- ours: ${shown(({ ours }) => ours)}`,
    `- oracle: ${shown(({ oracle }) => oracle)}`,
  ].join('\n');
}

/** Where to look first: seeds with the most false time and with missed spells. */
export function worst(benches: readonly BenchScore[]): string {
  const falsest = [...benches]
    .filter(({ ours }) => ours.falseS > 0)
    .sort((a, b) => b.ours.falseS - a.ours.falseS)
    .slice(0, 12)
    .map(({ seed, ours }) => `${seed} (${ours.falseS.toFixed(1)} s)`);
  const missed = benches
    .filter(({ ours }) => ours.delaysS.includes(null))
    .slice(0, 12)
    .map(({ seed }) => seed);
  const off = benches
    .filter(({ reading }) => reading !== null && Math.abs(reading.errorMm) > reading.U95Mm)
    .slice(0, 12)
    .map(({ seed }) => seed);
  return `falsest seeds: ${falsest.join(', ')}\nseeds with missed spells: ${missed.join(', ')}\nseeds with a reading off: ${off.join(', ')}\n`;
}
