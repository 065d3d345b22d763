/** What happened beside the readings: alarms, checks of the zero, states of the machine, and what people did. */
import type { ActionBody, AlarmOutcome, Outcome } from '../core/events.ts';
import { machineWords } from '../core/machine.ts';
import { plain } from '../core/uncertainty/rounding.ts';
import { figures, setting } from './figures.ts';
import { type Content, type Html, html, table } from './html.ts';
import type { JobRecord } from './record.ts';
import { localText, utcText } from './times.ts';

type When = (utcMs: number) => readonly [Html, Html];

function clockOf({ zone }: JobRecord): When {
  return (utcMs) => [
    html`<span class="time">${localText(utcMs, zone)}</span>`,
    html`<span class="time">${utcText(utcMs)}</span>`,
  ];
}

function timeHead({ zone }: JobRecord): [string, string] {
  return [`Local time (${zone.name})`, 'UTC'];
}

export function alarmSection(record: JobRecord): Html {
  const when = clockOf(record);
  const during = record.outcomes.flatMap(({ utcMs, outcome }) =>
    outcome.kind === 'alarm' ? [{ utcMs, outcome, before: false }] : [],
  );
  const rows = [...record.standing.map((one) => ({ ...one, before: true })), ...during].map(
    ({ utcMs, outcome, before }): Content[] => [
      ...when(utcMs),
      `${ALARM_CHANGE[outcome.state]}${before ? ', since before the job' : ''}`,
      `${alarmName(outcome)} (${outcome.priority})`,
      alarmWords(outcome),
      outcome.by ?? '–',
    ],
  );
  const faults = record.outcomes.flatMap(({ utcMs, outcome }): Content[][] =>
    outcome.kind === 'fault'
      ? [[...when(utcMs), 'Fault', `${outcome.code}: ${outcome.source}`, outcome.detail, '–']]
      : [],
  );
  const all = [...rows, ...faults];
  return html`<section><h2>Alarms</h2>${
    all.length === 0 ? html`<p>None.</p>` : table([...timeHead(record), 'State', 'Alarm (priority)', 'Why', 'Who'], all)
  }</section>`;
}

/** In the terms of ISA-18.2. */
const ALARM_CHANGE: Readonly<Record<AlarmOutcome['state'], string>> = {
  active: 'Active',
  returned: 'Returned to normal',
  acknowledged: 'Acknowledged',
  shelved: 'Shelved',
  unshelved: 'Unshelved',
  suppressed: 'Suppressed by design',
};

function alarmWords({ state, why, message, tUs, untilUs }: AlarmOutcome & { readonly tUs: number }): string {
  if (state === 'shelved') return `for ${shelfTime((untilUs ?? tUs) - tUs)}: “${why}”`;
  if (state !== 'active') return why;
  return `${why}.${message === null ? '' : ` ${message}`}`;
}

function shelfTime(us: number): string {
  const minutes = us / 60e6;
  return minutes >= 60
    ? `${setting(Number((minutes / 60).toFixed(2)))} h`
    : `${setting(Number(minutes.toFixed(1)))} min`;
}

export function zeroSection(record: JobRecord): Html | null {
  const when = clockOf(record);
  const rows = record.outcomes.flatMap(({ utcMs, outcome }): Content[][] => {
    if (outcome.kind !== 'zero-check') return [];
    const { expectedMm, meanMm, uMm, errorMm, driftMm, limitMm, suspect } = outcome.check;
    return [
      [
        ...when(utcMs),
        setting(expectedMm),
        `${plain(meanMm, 2)} (u ${figures(uMm, 2)})`,
        plain(errorMm, 2),
        driftMm === null ? 'first check' : `${plain(driftMm, 2)} of ${figures(limitMm)}`,
        suspect.length === 0 ? '–' : suspect.join(', '),
      ],
    ];
  });
  if (rows.length === 0) return null;
  const head = ['Expected, mm', 'Shown, mm', 'Error, mm', 'Moved, mm', 'Readings not to be relied on'];
  return html`<section><h2>Checks of the zero</h2>${table([...timeHead(record), ...head], rows, head.slice(0, 4))}</section>`;
}

/** Notes, corrections, targets, states: everything that a person did or that the machine was found to do. */
export function actionSection(record: JobRecord): Html {
  const when = clockOf(record);
  const rows = record.outcomes.flatMap(({ utcMs, outcome }): Content[][] => {
    const told = happening(outcome);
    return told === null ? [] : [[...when(utcMs), ...told]];
  });
  return html`<section><h2>Notes, corrections and actions</h2>
<p class="note">Nothing here can be erased; a correction is a later entry.</p>
${rows.length === 0 ? html`<p>None.</p>` : table([...timeHead(record), 'Who', 'What'], rows)}</section>`;
}

function happening(outcome: Outcome): readonly [Content, Content] | null {
  switch (outcome.kind) {
    case 'action': {
      const { actor, body, refusal } = outcome;
      const words = actionWords(body);
      return [
        actor,
        refusal === null ? words : html`${words} <strong>Refused: ${refusal.replaceAll('-', ' ')}.</strong>`,
      ];
    }
    case 'machine': {
      if (outcome.cause === 'stated') return null;
      const how = outcome.cause === 'level-fell' ? 'fell' : 'rose';
      return ['the bench', `The level ${how}: the machine is now ${machineWords(outcome.machine)}.`];
    }
    case 'slope': {
      const { learned, refusal, inUse } = outcome;
      if (learned === null)
        return ['the bench', `The warm-up taught nothing: ${(refusal ?? 'no slope').replaceAll('-', ' ')}.`];
      const slope = `${figures(learned.mmPerK)} ± ${figures(2 * learned.uMmPerK, 2)} mm/K`;
      return ['the bench', `The warm-up taught a slope of ${slope}${inUse ? ', in use from here on' : ', not used'}.`];
    }
    default:
      return null;
  }
}

const AMOUNT_WORDS = { in: 'Poured in', out: 'Caught', spilled: 'Spilled', left: 'Left behind' } as const;

function actionWords(body: ActionBody): Content {
  switch (body.type) {
    case 'take-reading':
      return 'Asked for a reading.';
    case 'note':
      return html`Note: <span class="said">“${body.text}”</span>`;
    case 'type-value':
      return `Typed ${setting(body.value)} for ${body.channel}.`;
    case 'state-machine':
      return `The machine is: ${body.state}.`;
    case 'start-job':
      return 'Started the job.';
    case 'set-target':
      return body.target.from === 'reading'
        ? `Target: reading ${body.target.reading}.`
        : `Target: ${setting(body.target.levelMm)} mm, standard uncertainty ${setting(body.target.uMm)} mm.`;
    case 'accept':
      return html`Took the verdict as good: “${body.reason}”`;
    case 'close-job':
      return body.unfinished === undefined
        ? 'Closed the job.'
        : html`Closed the job with steps left: <span class="said">“${body.unfinished}”</span>`;
    case 'check-zero':
      return `Checked the zero on a block of ${setting(body.expectedMm)} mm.`;
    case 'confirm':
      return html`Confirmed ${body.step}${body.ticks.length === 0 ? '' : `: ${body.ticks.join(', ')}`}.${
        body.note === undefined ? '' : html` <span class="said">“${body.note}”</span>`
      }`;
    case 'enter':
      return html`Entered ${body.name}: ${body.value}${
        body.override === undefined ? '' : html`, although it differs: <span class="said">“${body.override}”</span>`
      }${body.corrects === undefined ? '' : ` (in the place of event ${body.corrects})`}.`;
    case 'record-amount':
      return `${AMOUNT_WORDS[body.kind]} ${setting(body.amount)} by ${body.measure}, at ${setting(body.tC)} °C${
        body.corrects === undefined ? '' : ` (in the place of event ${body.corrects})`
      }.`;
    case 'answer':
      return html`Answered ${body.step}: ${body.answer}.${
        body.note === undefined ? '' : html` <span class="said">“${body.note}”</span>`
      }`;
    case 'skip-step':
      return html`Left out ${body.step}${body.reason === '' ? '' : html`: <span class="said">“${body.reason}”</span>`}.`;
    case 'go-back':
      return html`Went back to ${body.to}: <span class="said">“${body.reason}”</span>`;
    case 'engine':
      return body.running ? 'The engine runs.' : 'The engine stands still.';
    case 'pause-job':
      return html`Paused the job: <span class="said">“${body.reason}”</span>`;
    case 'resume-job':
      return 'Went on with the job.';
    case 'acknowledge-alarm':
      return `Acknowledged the alarm ${alarmName(body)}.`;
    case 'shelve-alarm':
      return html`Shelved the alarm ${alarmName(body)} for ${shelfTime(1e6 * body.forS)}: “${body.reason}”`;
    case 'unshelve-alarm':
      return `Unshelved the alarm ${alarmName(body)}.`;
  }
}

function alarmName({ alarm, source }: { readonly alarm: string; readonly source: string }): string {
  return `${alarm.replaceAll('-', ' ')}: ${source}`;
}
