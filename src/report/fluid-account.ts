/** What went in and came out: each amount with its measure, what was advised, whether it adds up, how fresh it is now. */
import type { Balance } from '../core/dosing/balance.ts';
import type { AmountMade } from '../core/job/progress.ts';
import { plain, toldUncertainty } from '../core/uncertainty/rounding.ts';
import { setting } from './figures.ts';
import { type Content, facts, type Html, html, table } from './html.ts';
import type { JobRecord } from './record.ts';
import { localText } from './times.ts';
import { workOf } from './work.ts';

const KIND = { in: 'Poured in', out: 'Caught', spilled: 'Spilled', left: 'Left behind' } as const;

export function amountsSection(record: JobRecord): Html | null {
  const work = workOf(record);
  if (work === null || work.progress.amounts.length === 0) return null;
  const { procedure, progress } = work;
  const corrected = new Set(progress.amounts.map(({ corrects }) => corrects));
  const measureWords = (id: string) => procedure.measures.find((one) => one.id === id)?.words ?? 'told by hand';
  const rows = progress.amounts.map((one): Content[] => {
    const told = `${setting(one.amount)} ${one.unit}`;
    return [
      one.event,
      KIND[one.kind],
      corrected.has(one.event) ? html`<s>${told}</s>` : one.amount === 0 ? 'taken back' : told,
      one.amount === 0 ? '–' : `${toldUncertainty(2 * uOf(one)).text} ${one.unit}`,
      setting(one.tC),
      measureWords(one.measure),
      one.actor,
      one.corrects === null ? '' : `in the place of ${one.corrects}`,
    ];
  });
  const head = ['No.', 'What', 'Amount', '± (k = 2)', 'At, °C', 'Measured by', 'Who', ''];
  return html`<section><h2>Amounts</h2><p class="note">As they were told. Kilograms are as a scale in air shows them. Struck through: corrected later.</p>
${table(head, rows, ['Amount', '± (k = 2)', 'At, °C'])}</section>`;
}

/** Standard uncertainty of one amount: that of its measure and its own, independent. */
function uOf({ amount, uShare, uEach }: AmountMade): number {
  return Math.hypot(amount * uShare, uEach);
}

export function adviceSection({ outcomes, zone }: JobRecord): Html | null {
  const rows = outcomes.flatMap(({ utcMs, outcome }): Content[][] => {
    if (outcome.kind !== 'advice') return [];
    const { todo, why, expected } = outcome.advice.words;
    return [[html`<span class="time">${localText(utcMs, zone)}</span>`, todo, why, expected ?? '–']];
  });
  if (rows.length === 0) return null;
  return html`<section><h2>Amounts advised</h2>${table([`Local time (${zone.name})`, 'Advised', 'Why', 'Expected then'], rows)}</section>`;
}

export function balanceSection(record: JobRecord): Html | null {
  const work = workOf(record);
  if (work === null) return null;
  const { balance } = work.progress;
  if (balance === null && work.fresh === null) return null;
  const fresh: readonly (readonly [string, Content])[] =
    work.fresh === null
      ? []
      : [['Fresh fluid', `${plain(100 * work.fresh.share, 0)} % of all of it (± ${plain(200 * work.fresh.u, 0)} %)`]];
  return html`<section><h2>Balance of the fluid</h2>${
    balance === null
      ? facts(fresh)
      : html`${facts([...balanceFacts(balance), ...fresh])}${balance.closed ? null : causes(balance)}`
  }</section>`;
}

function balanceFacts({
  litres,
  countedL,
  changeL,
  misclosureL,
  U95L,
  closed,
}: Balance): (readonly [string, Content])[] {
  const U = toldUncertainty(U95L);
  return [
    ...(['in', 'out', 'spilled', 'left'] as const).map((kind) => [KIND[kind], `${plain(litres[kind], 2)} L`] as const),
    ['Counted', `${plain(countedL, 2)} L: in − out − spilled − left, at the temperature of the levels`],
    ['By the level', `${plain(changeL, 2)} L`],
    [
      'Misclosure',
      html`<strong>${plain(misclosureL, U.decimals)} ± ${U.text} L</strong>: ${closed ? 'it adds up' : 'it does not add up'}`,
    ],
  ];
}

function causes({ causes: found, misclosureL }: Balance): Html {
  return html`<p><strong>${misclosureL > 0 ? 'Fluid is missing.' : 'There is more fluid than was counted.'}</strong> What may have caused it:</p>
<ul>${found.map(({ words }) => html`<li>${words}</li>`)}</ul>`;
}

/** A job whose fluid was brought to the lip of an opening: no millimetres come of it. Null for any other. */
export function overflowWords(record: JobRecord): { readonly told: string; readonly note: string } | null {
  const work = workOf(record);
  if (work === null || work.procedure.result !== 'overflow') return null;
  const { procedure, progress } = work;
  const entered = (means: 'overflow-temperature' | 'overflow-caught') => {
    const names = procedure.steps
      .flatMap((step) => (step.kind === 'enter' ? step.asks.filter((ask) => ask.means === means) : []))
      .map(({ name }) => name);
    const value = progress.entries.findLast(({ name }) => names.includes(name))?.value;
    return typeof value === 'number' ? value : null;
  };
  const tC = entered('overflow-temperature');
  const caughtL = entered('overflow-caught');
  const note = 'A level by overflow has no millimetres: it is where the lip of the opening is.';
  if (tC === null) return { told: 'It was not told that the fluid stood at the lip.', note };
  const caught =
    caughtL === null ? '' : caughtL < 1 ? `, ${plain(1000 * caughtL, 0)} mL caught` : `, ${plain(caughtL, 2)} L caught`;
  return { told: `The fluid stood at the lip at ${plain(tC, 1)}\u00a0°C${caught}.`, note };
}
