/** A reading: plain words first, then how it came about and what makes it unsure. */
import type { BudgetLine, OutcomeOf, Reading, Verdict } from '../core/events.ts';
import { groupsOf } from '../core/uncertainty/combine.ts';
import { plain, toldUncertainty } from '../core/uncertainty/rounding.ts';
import { chartSvg } from './chart.ts';
import { amount, figures, setting, stated } from './figures.ts';
import { suspectReadings, verdictOf, verdictWords } from './head.ts';
import { type Content, facts, type Html, html, table } from './html.ts';
import type { JobRecord } from './record.ts';
import { localText, utcText } from './times.ts';

type Judged = NonNullable<Verdict['judged']>;

export function readingsSection(record: JobRecord): Html | null {
  const taken = record.outcomes.filter(({ outcome }) => outcome.kind === 'reading');
  if (taken.length === 0) return null;
  return html`<section><h2>Readings</h2>${taken.map(({ utcMs, outcome }) => one(record, utcMs, outcome as OutcomeOf<'reading'>))}</section>`;
}

function one(record: JobRecord, utcMs: number, outcome: OutcomeOf<'reading'>): Html {
  const { reading } = outcome;
  const { id, words, referenceC, U95Mm, rawLevelMm, temperatureC } = reading;
  const { zone, outcomes, around } = record;
  const verdict = verdictOf(outcomes, id);
  const chart = around.get(id) ?? null;
  const { decimals, text } = toldUncertainty(U95Mm);
  const by = reading.basis;
  return html`<article><div class="whole"><h3>Reading ${id}, <span class="time">${localText(utcMs, zone)}</span></h3>
<p class="told">${words.level} at ${plain(referenceC, 1)}\u00a0°C, ${words.sure}</p>
${verdict === null ? null : html`<p class="verdict">${verdictWords(verdict)}</p>`}
${suspectReadings(outcomes).has(id) ? html`<p><strong>Not to be relied on: the zero moved.</strong></p>` : null}
${chart === null ? null : chartSvg(chart, zone, false)}</div>
${facts([
  ['Result', `${plain(reading.levelMm, decimals)} ± ${text}\u00a0mm`],
  ['As measured', `${plain(rawLevelMm, decimals)}\u00a0mm at ${plain(temperatureC, 1)}\u00a0°C`],
  ['Brought to', `${plain(referenceC, 1)}\u00a0°C by ${compensationWords(by.compensation)}`],
  ['Asked for', reading.cause === 'asked' ? 'by a person' : 'by itself, on becoming ready'],
  ['Machine', reading.machineState],
  ['Volume', volumeWords(reading)],
  [
    'Rests on',
    `${reading.used} values, ${reading.setAside} set aside; frames ${reading.firstSeq} to ${reading.lastSeq}`,
  ],
  ['UTC', utcText(utcMs)],
  ['Channels', `${by.levelChannel}, ${by.temperatureChannel}`],
  ['Certificates', by.calibrations.length === 0 ? 'none: as the bench file states' : by.calibrations.join(', ')],
])}
<div class="wide">${budgetTable(reading.budget, reading.U95Mm, reading.coverageFactor)}</div>
${verdict?.judged == null ? null : differenceTo(verdict.judged, outcomes.findLast((one) => one.outcome.kind === 'reading')?.outcome === outcome)}</article>`;
}

/** The budget of the difference is told of the last reading, which decides; of the others its result. */
function differenceTo(
  { differenceMm, U95Mm, toleranceMm, probability, budget, coverageFactor }: Judged,
  last: boolean,
): Html {
  return html`<div class="whole"><h3>Difference to the target</h3><p>${signed(differenceMm)}\u00a0mm, ±${toldUncertainty(U95Mm).text}\u00a0mm;
±${setting(toleranceMm)}\u00a0mm is allowed. Below ${chance(probability.below)}, within ${chance(probability.within)}, above ${chance(probability.above)}.</p>
${last ? html`<div class="wide">${budgetTable(budget, U95Mm, coverageFactor)}</div>` : null}</div>`;
}

const COMPENSATION: Readonly<Record<string, string>> = {
  'vessel-and-fluid': 'the expansion of the fluid in its vessel',
  chart: 'a chart of level and temperature',
  learned: 'a slope learned from the warm-up',
};

function compensationWords(code: string): string {
  return COMPENSATION[code] ?? code;
}

function volumeWords({ volumeL, volumeU95L }: Reading): string {
  if (volumeL === null) return 'not told: no vessel';
  if (volumeU95L === null) return `${figures(volumeL)}\u00a0L`;
  const { decimals, text } = toldUncertainty(volumeU95L);
  return `${plain(volumeL, decimals)} ± ${text}\u00a0L`;
}

const HEAD = ['Component', 'Stated', 'Standard uncertainty', 'mm per unit', 'Adds, mm', 'Freedom', 'Share'];
const FIGURES = HEAD.slice(2);

/** Lines of one key add with their signs, so the share is that of all of them. */
export function budgetTable(budget: readonly BudgetLine[], U95Mm: number, coverageFactor: number): Html {
  const groups = groupsOf(budget).sort((a, b) => Math.abs(b.signedMm) - Math.abs(a.signedMm));
  const variance = groups.reduce((sum, { signedMm }) => sum + signedMm * signedMm, 0);
  const rows = groups.flatMap(({ lines, signedMm }) =>
    lines.map((one, i): Content[] => [
      one.component,
      `${amount(stated(one.value), one.unit)}, ${one.distribution}, type ${one.type}`,
      amount(figures(one.u), one.unit),
      figures(one.sensitivity),
      figures(one.contributionMm),
      one.degreesOfFreedom === null ? '∞' : figures(one.degreesOfFreedom),
      i > 0 ? 'with it' : variance > 0 ? share((signedMm * signedMm) / variance) : '–',
    ]),
  );
  const uMm = U95Mm / coverageFactor;
  return table(HEAD, rows, FIGURES, {
    span: 4,
    rows: [
      ['Combined standard uncertainty', figures(uMm), '', ''],
      [`Expanded uncertainty, × ${figures(coverageFactor)} for about 95 %`, figures(U95Mm), '', ''],
    ],
  });
}

function share(part: number): string {
  if (part > 0 && part < 0.001) return '<\u00a00.1\u00a0%';
  if (part < 1 && part > 0.999) return '>\u00a099.9\u00a0%';
  return `${plain(100 * part, 1)}\u00a0%`;
}

/** Nothing that was measured is certain. */
function chance(p: number): string {
  return share(Math.min(0.9999, Math.max(0.0001, p)));
}

function signed(mm: number): string {
  return `${mm > 0 ? '+' : ''}${figures(mm)}`;
}
