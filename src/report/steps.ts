/** What a job went by, and how each of its steps ended: by whom, when, at what temperature, with which photos. */
import type { StepOutcome } from '../core/job/progress.ts';
import { plain } from '../core/uncertainty/rounding.ts';
import { type Content, facts, Html, html, table } from './html.ts';
import type { JobRecord, PhotoInRecord } from './record.ts';
import { localText, utcText } from './times.ts';
import { askedOf, entryWords, workOf } from './work.ts';

export function procedureSection(record: JobRecord): Html | null {
  const work = workOf(record);
  if (work === null) return null;
  const { procedure, machineType, fields } = work;
  const asked = procedure.fields.map(({ id, words }) => [words, fields[id] ?? '–'] as const);
  return html`<section><h2>Procedure</h2>
${facts([
  ['By', procedure.title],
  ['Version', `${procedure.version} (${procedure.id})`],
  ['Digest', html`<span class="fingerprint">${procedure.digest}</span>`],
  ...(machineType === null ? [] : [['Kind of machine', machineType] as const]),
  ...asked,
])}
<p class="note">The digest is SHA-256 of the file of the procedure: an edited copy has another one.</p></section>`;
}

const HOW = { done: 'Done', skipped: 'Left out', back: 'Went back' } as const;

export function stepsSection(record: JobRecord): Html | null {
  const work = workOf(record);
  if (work === null) return null;
  const { zone, outcomes, photos } = record;
  const { procedure } = work;
  const titleOf = (id: string | null) => procedure.steps.find((step) => step.id === id)?.title ?? id ?? 'the end';
  const rows = outcomes.flatMap(({ utcMs, outcome }): Content[][] => {
    if (outcome.kind !== 'step') return [];
    const { step, how, actor, temperatureC } = outcome;
    return [
      [
        html`<span class="time">${localText(utcMs, zone)}</span><br><span class="note time">${utcText(utcMs)} UTC</span>`,
        how === 'back' ? `From: ${titleOf(step)}` : titleOf(step),
        how === 'back' ? `${HOW.back} to: ${titleOf(outcome.next)}` : HOW[how],
        actor ?? 'by itself',
        temperatureC === null ? '–' : plain(temperatureC, 1),
        saidWith(outcome, answerWords(outcome, procedure.steps), photos),
      ],
    ];
  });
  const left =
    work.progress.at === null
      ? null
      : html`<p><strong>Not finished:</strong> the job ended at “${titleOf(work.progress.at)}”.</p>`;
  const head = [`Local time (${zone.name})`, 'Step', 'How', 'Who', 'Fluid, °C', 'With it'];
  return html`<section><h2>Steps</h2>${rows.length === 0 ? html`<p>None was finished.</p>` : table(head, rows, ['Fluid, °C'])}${left}${shown(record)}</section>`;
}

type Steps = NonNullable<ReturnType<typeof workOf>>['procedure']['steps'];

function answerWords({ step: id, answer }: StepOutcome, steps: Steps): string | null {
  const step = steps.find((one) => one.id === id);
  return step?.kind === 'ask' ? (step.answers.find((one) => one.id === answer)?.words ?? answer) : answer;
}

function saidWith({ words, photos }: StepOutcome, answer: string | null, kept: JobRecord['photos']): Content {
  const named = photos.map(
    (sha256) =>
      html`<br><span class="note">Photo ${sha256.slice(0, 16)}…${kept.has(sha256) ? '' : ' (not here)'}</span>`,
  );
  const note = words === null || words === answer ? null : html`<span class="said">${words}</span>`;
  if (answer === null && note === null && named.length === 0) return '–';
  return html`${answer}${answer !== null && note !== null ? html`<br>` : null}${note}${named}`;
}

/** Every photo once. */
function shown({ outcomes, photos }: JobRecord): Html | null {
  const named = outcomes.flatMap(({ outcome }) =>
    outcome.kind === 'step' ? outcome.photos.map((sha256) => ({ sha256, step: outcome.step })) : [],
  );
  const once = new Map(named.map((one) => [one.sha256, one]));
  if (once.size === 0) return null;
  return html`<h3>Photos</h3>${[...once.values()].map(({ sha256, step }) => figure(sha256, step, photos.get(sha256)))}`;
}

function figure(sha256: string, step: string, photo: PhotoInRecord | undefined): Html {
  const name = html`<figcaption class="note">At ${step}. SHA-256 <span class="fingerprint">${sha256}</span></figcaption>`;
  if (photo === undefined)
    return html`<figure class="whole"><p>This photo is not here, or is not what was sent.</p>${name}</figure>`;
  if (photo.base64 === null)
    return html`<figure class="whole"><p>Too large for this file: it stands beside the journal.</p>${name}</figure>`;
  // Base64 and a type of ours: nothing in it can end the attribute.
  const source = new Html(`data:${photo.type};base64,${photo.base64}`);
  return html`<figure class="whole"><img alt="Photo at ${step}" src="${source}">${name}</figure>`;
}

/** What was entered; what was corrected since is struck through. */
export function entriesSection(record: JobRecord): Html | null {
  const work = workOf(record);
  if (work === null || work.progress.entries.length === 0) return null;
  const { procedure, progress } = work;
  const corrected = new Set(progress.entries.map(({ corrects }) => corrects));
  const rows = progress.entries.map(({ event, name, value, actor, override, corrects }): Content[] => {
    const asked = askedOf(procedure, name);
    const words = entryWords(value, asked);
    return [
      event,
      asked?.words ?? name,
      corrected.has(event) ? html`<s>${words}</s>` : words,
      actor,
      html`${corrects === null ? null : `in the place of ${corrects}`}${override === null ? null : html` although it differs: <span class="said">“${override}”</span>`}`,
    ];
  });
  return html`<section><h2>Entries</h2><p class="note">Struck through: corrected by a later entry, which names it.</p>
${table(['No.', 'Asked', 'Value', 'Who', ''], rows)}</section>`;
}
