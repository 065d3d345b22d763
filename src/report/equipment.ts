/** What it was measured with: instruments, their calibration, settings of the bench, software. */
import type { Certificate } from '../core/calibration/certificate.ts';
import { type BenchDescription, INSIDE_UNITS, TYPED } from '../core/description.ts';
import { setting, stated, unitSign } from './figures.ts';
import { type Content, facts, type Html, html, table } from './html.ts';
import type { JobRecord, RunOfJob } from './record.ts';
import { localText, utcText } from './times.ts';

/** By the last run of the job; where the bench changed in between, each run is told. */
export function instrumentSection(record: JobRecord): Html {
  return html`<section><h2>Instruments and their calibration</h2>${changes(record.runs).map(
    ({ run, start }, _, all) => [
      all.length > 1 ? html`<h3>From run ${run} on</h3>` : null,
      html`<div class="wide">${channelTable(record, start.bench, start.calibrations ?? [])}</div>`,
    ],
  )}</section>`;
}

type Applied = NonNullable<RunOfJob['start']['calibrations']>;

function channelTable(record: JobRecord, bench: BenchDescription, calibrations: Applied): Html {
  const rows = bench.channels.map((channel): Content[] => {
    const { id, instrument, signal, quantity, resolution, standardUncertainty, range } = channel;
    const unit = unitSign(INSIDE_UNITS[quantity]);
    const described = bench.instruments.find((one) => one.id === instrument);
    const certificates = calibrations.filter((one) => one.channel === id).map(({ certificate }) => certificate);
    return [
      html`${id}<br><span class="note">${quantity}, ${unit || '1'}</span>`,
      instrument === TYPED
        ? 'typed by a person'
        : html`${instrument}, signal ${signal}<br><span class="note">driver ${described?.driver ?? 'unknown'}${described?.identity === undefined ? null : `, ${described.identity}`}</span>`,
      html`<span class="time">${setting(range.low)} to ${setting(range.high)}</span>`,
      resolution === 0 ? 'unknown' : stated(resolution),
      stated(standardUncertainty),
      certificates.length === 0
        ? 'No certificate: the uncertainty stated in the bench file counts.'
        : certificates.map((one) => certificateWords(record, one)),
    ];
  });
  const head = ['Channel', 'Instrument', 'Range', 'Step', 'Standard uncertainty', 'Calibration'];
  return table(head, rows, ['Step', 'Standard uncertainty']);
}

function certificateWords({ startedUtcMs, closedUtcMs, zone }: JobRecord, certificate: Certificate): Html {
  const { id, kind, atUtcMs, dueUtcMs, reference, who, identity } = certificate;
  const day = (utcMs: number) => html`<span class="time">${localText(utcMs, zone).slice(0, 10)}</span>`;
  const last = closedUtcMs ?? startedUtcMs;
  const state =
    dueUtcMs < last ? html`<strong>overdue since ${day(dueUtcMs)}</strong>` : html`in date until ${day(dueUtcMs)}`;
  return html`<p>${id}: ${kind.replaceAll('-', ' ')} of ${day(atUtcMs)} by ${who}, ${state}.
<span class="note">Device ${identity}; reference: ${reference.name === '' ? 'not named' : reference.name}</span></p>`;
}

/** The first run, and each later one with another bench or other certificates. */
function changes(runs: readonly RunOfJob[]): RunOfJob[] {
  const kept: RunOfJob[] = [];
  let before = '';
  for (const run of runs) {
    const now = JSON.stringify([run.start.bench, run.start.calibrations ?? []]);
    if (now !== before) kept.push(run);
    before = now;
  }
  return kept;
}

export function settingsSection({ runs }: JobRecord): Html | null {
  const bench = runs.at(-1)?.start.bench;
  if (bench === undefined) return null;
  const { window, referenceC, referenceFrom, steady, match } = bench.measure;
  const target = match === null ? 'nothing is matched' : `±${setting(match.toleranceMm)} mm, ${ruleWords(match.rule)}`;
  return html`<section class="whole"><h2>How the bench reads</h2>${facts([
    ['Level from', bench.measure.levelChannel],
    ['Temperature from', bench.measure.temperatureChannel],
    [
      'Window',
      `${setting(window.lowC)} to ${setting(window.highC)} °C, ${setting(window.hysteresisK)} K to open again`,
    ],
    ['Reference', referenceFrom === 'bench' ? `${setting(referenceC)} °C` : 'temperature of the first reading'],
    [
      'Settled',
      `within ${setting(steady.toleranceMm)} mm of where it comes to rest, ${setting(100 * steady.confidence)} % sure; waves up to ${setting(steady.wavesMm)} mm`,
    ],
    ['Compensation', bench.measure.compensation.kind.replaceAll('-', ' ')],
    ['Fluid', bench.fluid === null ? 'not told' : bench.fluid.kind === 'single' ? bench.fluid.name : bench.fluid.kind],
    ['Tolerance', target],
  ])}</section>`;
}

type Rule = NonNullable<BenchDescription['measure']['match']>['rule'];

function ruleWords(rule: Rule): string {
  return rule.by === 'guard' ? `guard band ${setting(rule.guardMm)} mm` : `${setting(100 * rule.probability)} % sure`;
}

export function softwareSection({ runs, zone, madeBy, madeUtcMs }: JobRecord): Html {
  const head = ['Run', `Began (${zone.name})`, 'UTC', 'Software', 'Algorithm', 'Schema', 'Numerics'];
  const rows = runs.map(({ run, utcMs, start }): Content[] => [
    run,
    html`<span class="time">${localText(utcMs, zone)}</span>`,
    html`<span class="time">${utcText(utcMs)}</span>`,
    start.software,
    start.algorithm,
    start.schema,
    start.numerics.slice(0, 12),
  ]);
  const sources = Object.entries(runs.at(-1)?.start.drivers ?? {});
  return html`<section class="whole"><h2>Software</h2>${table(head, rows)}
${sources.length === 0 ? null : html`<p class="note">Drivers, SHA-256 of their source: ${sources.map(([name, digest]) => `${name} ${digest.slice(0, 16)}…`).join(', ')}.</p>`}
<p class="note">This report was written by ${madeBy} at ${utcText(madeUtcMs)} UTC.</p></section>`;
}
