/** What went in and out against what the level says, and how fresh the fluid is. */
import { amount, chosen, measured, percent } from '../format.ts';
import { WORDS } from '../words.ts';
import type { JobProgress } from './progress.ts';

const K95 = 1.959963984540054;

export function AccountPanel({ progress }: { readonly progress: JobProgress }) {
  const { refill, filledL, balance, fresh } = progress;
  if (refill === null && balance === null && fresh === null) return null;
  const words = WORDS.run.account;
  const off = balance === null ? null : measured(Math.abs(balance.misclosureL), balance.U95L, 'L');
  return (
    <section class="account" aria-labelledby="account-title">
      <h2 id="account-title">{words.title}</h2>
      {fresh !== null && (
        <p class="fresh-share">
          {words.fresh(percent(fresh.share))} ±{percent(K95 * fresh.u, fresh.u < 0.005 ? 1 : 0)}
        </p>
      )}
      <ul>
        {refill !== null && (
          <li>{words.planned(amount(refill.litres, 2, 'L'), chosen(Math.round(refill.pourC), 'Cel'))}</li>
        )}
        {refill !== null && <li>{words.filled(amount(filledL, 2, 'L'))}</li>}
        {balance !== null && <li>{words.counted(amount(balance.countedL, 2, 'L'))}</li>}
        {balance !== null && <li>{words.level(amount(balance.changeL, 2, 'L'))}</li>}
      </ul>
      {balance !== null && off !== null && (
        <p class={balance.closed ? 'adds-up' : 'adds-up fault'} data-closed={balance.closed}>
          {(balance.closed ? words.closed : words.open)(off.value, off.U)}
          {!balance.closed && ` ${balance.misclosureL > 0 ? words.missing : words.tooMuch}`}
        </p>
      )}
      {balance !== null && !balance.closed && (
        <ul>
          {balance.causes.map((cause) => (
            <li key={`${cause.kind} ${cause.entry}`}>{words.causes[cause.kind]}</li>
          ))}
        </ul>
      )}
    </section>
  );
}
