/** The first page: what job it is, what came of it, and whether the record can be relied on. */
import type { OutcomeOf, Verdict } from '../core/events.ts';
import { plain } from '../core/uncertainty/rounding.ts';
import { chartSvg } from './chart.ts';
import { overflowWords } from './fluid-account.ts';
import { facts, type Html, html } from './html.ts';
import type { Checks, JobRecord } from './record.ts';
import { localText, spanText, utcText } from './times.ts';

export function title({ id, label }: JobRecord): string {
  return label === '' ? `Job ${id}` : `Job ${id}: ${label}`;
}

export function headSection(record: JobRecord): Html {
  const { startedUtcMs, closedUtcMs, zone, runs, checks } = record;
  const names = [...new Set(runs.map(({ start }) => start.bench.name))];
  const both = (utcMs: number) =>
    html`<span class="time">${localText(utcMs, zone)}</span><br><span class="note time">${utcText(utcMs)} UTC</span>`;
  const readings = record.outcomes.filter(({ outcome }) => outcome.kind === 'reading').length;
  return html`<header><h1>${title(record)}</h1><p class="under">${names.join(', ')}</p></header>
${facts([
  ['Started', both(startedUtcMs)],
  ['Closed', closedUtcMs === null ? 'still open when this was written' : both(closedUtcMs)],
  ['Local time', zone.name],
  ['Took', closedUtcMs === null || closedUtcMs < startedUtcMs ? '–' : spanText(closedUtcMs - startedUtcMs)],
  ['Readings', readings],
  [
    checks.signature === null ? 'Journal' : 'Sealed job',
    html`${record.file}<br><span class="note">${record.journalId}</span>`,
  ],
])}`;
}

/** The newest reading in plain words, with its verdict. */
export function resultSection(record: JobRecord): Html {
  const { outcomes, closedUtcMs } = record;
  const overflow = overflowWords(record);
  if (overflow !== null)
    return html`<section class="result"><p class="told">${overflow.told}</p><p class="note">${overflow.note}</p></section>`;
  const reading = outcomes.findLast(({ outcome }) => outcome.kind === 'reading')?.outcome as
    | OutcomeOf<'reading'>
    | undefined;
  if (reading === undefined)
    return html`<section class="result"><p class="told">No reading was taken${closedUtcMs === null ? ' yet' : null}.</p></section>`;
  const { id, words, referenceC } = reading.reading;
  const verdict = verdictOf(outcomes, id);
  const suspect = suspectReadings(outcomes).has(id);
  return html`<section class="result"><p class="told">${words.level} at ${plain(referenceC, 1)}\u00a0°C, ${words.sure}</p>
${verdict === null ? null : html`<p class="verdict">${verdictWords(verdict)}</p>`}
${suspect ? html`<p class="verdict"><strong>The zero of the sensor moved: this reading must not be relied on.</strong></p>` : null}
<p class="note">Reading ${id}, the last one of this job. “Sure to” is the expanded uncertainty for about 95 of 100 readings.</p></section>`;
}

/** The newest word on a reading. */
export function verdictOf(outcomes: JobRecord['outcomes'], reading: number): Verdict | null {
  const found = outcomes.findLast(({ outcome }) => outcome.kind === 'verdict' && outcome.verdict.reading === reading);
  return found?.outcome.kind === 'verdict' ? found.outcome.verdict : null;
}

export function verdictWords({ words, target, accepted }: Verdict): Html {
  const against = target.from === 'reading' ? `reading ${target.reading}` : `${plain(target.levelMm, 1)}\u00a0mm`;
  return html`Against ${against}: ${words}${
    accepted === null ? null : html` Taken as good by ${accepted.actor}: “${accepted.reason}”`
  }`;
}

/** Readings between two checks of the zero that did not agree. */
export function suspectReadings(outcomes: JobRecord['outcomes']): ReadonlySet<number> {
  return new Set(outcomes.flatMap(({ outcome }) => (outcome.kind === 'zero-check' ? outcome.check.suspect : [])));
}

export function cautionSection(): Html {
  return html`<p class="cautions"><strong>Caution.</strong> This record tells what was measured; it releases nothing for
use. The maker’s current service information, local codes and licensed practice stand above it. Hot fluid and exhaust burn,
running engines catch, raised vehicles fall, pressurised hoses whip: gloves, eye protection, chocks and stands as the maker says.</p>`;
}

export function passes({ chain, recomputed, signature }: Checks): boolean {
  return chain.ok && recomputed.answer === 'equal' && (signature === null || signature.fault === null);
}

/** Each question with its answer. */
export function checkSection({ checks }: JobRecord): Html {
  const { chain, recomputed, signature } = checks;
  const chainWords = chain.ok
    ? html`<strong>Yes.</strong> ${chain.parts} parts with ${chain.entries} entries follow one from the other.`
    : html`<strong>No.</strong> ${chain.fault}`;
  const equal = `${recomputed.readings} ${recomputed.readings === 1 ? 'reading' : 'readings'} and ${recomputed.outcomes - recomputed.readings} other outcomes`;
  const answers = {
    equal: html`<strong>Yes.</strong> ${equal} come out the same from ${recomputed.inputs} inputs.`,
    different: html`<strong>No.</strong> ${recomputed.detail}`,
    nothing: html`<strong>There was nothing to compare.</strong>`,
    unreadable: html`<strong>It cannot be told.</strong> ${recomputed.detail}`,
  };
  const sound = passes(checks);
  const remarks = recomputed.remarks.length === 0 ? null : html`<p class="note">${recomputed.remarks.join('; ')}.</p>`;
  return html`<section class="${sound ? 'whole' : 'broken'}">${sound ? html`<h2>Checks of the record</h2>` : html`<p><strong>This record does not pass its checks.</strong></p>`}
<p>Is the chain of the record intact? ${chainWords}</p>
<p>Do the outcomes come out the same from what the instruments sent? ${answers[recomputed.answer]}</p>${signature === null ? null : signatureWords(signature)}${remarks}</section>`;
}

function signatureWords({ fingerprint, fault }: NonNullable<Checks['signature']>): Html {
  const answer =
    fault === null
      ? html`<strong>Yes,</strong> with the key below`
      : html`<strong>No:</strong> ${fault}. The key inside is below`;
  return html`<p>Is the file as it was when it was signed? ${answer}: compare it with the one made known
by the workshop, since anybody can sign with a key of their own.<br><span class="fingerprint">${fingerprint}</span></p>`;
}

export function overviewSection({ overview, zone }: JobRecord): Html | null {
  if (overview === null) return null;
  return html`<section class="whole"><h2>The whole job</h2>${chartSvg(overview, zone, true)}
<p class="note"><span class="swatch read"></span>what a reading rests on, with its number
&ensp;<span class="swatch window"></span>temperatures in which the bench reads. Times: ${zone.name}. Least and greatest value of each stretch
of ${plain((overview.toUtcMs - overview.fromUtcMs) / 1000 / 600, 1)} s; doubtful values are left out.</p></section>`;
}
