/** The table for who asks: every component of an uncertainty, as it was stated and what it adds. */
import { amount, fixed, sensibly, unitSign } from './format.ts';
import type { LastReading } from './marks.ts';
import { convertSize } from './units.ts';
import { componentWords, WORDS } from './words.ts';

type Budgeted = Pick<LastReading['reading'], 'budget' | 'coverageFactor' | 'U95Mm'>;

export function Budget({ budget, coverageFactor, U95Mm }: Budgeted) {
  const words = WORDS.budget;
  return (
    <table class="budget">
      <thead>
        <tr>
          <th scope="col">{words.component}</th>
          <th scope="col">{words.contribution}</th>
        </tr>
      </thead>
      <tbody>
        {budget.map((line) => (
          <tr key={line.component}>
            <th scope="row">
              {componentWords(line.component)}
              {line.shared !== null && <abbr title={words.shared}>{words.sharedMark}</abbr>}
              <span class="how">
                {words.how(`${line.type} · ${words.kinds[line.type]}`, statedWords(line), sensitivityWords(line))}
              </span>
            </th>
            <td>{amount(line.contributionMm, 3, 'mm')}</td>
          </tr>
        ))}
      </tbody>
      <tfoot>
        <tr>
          <th scope="row">
            {words.total(fixed(coverageFactor, 2))}
            <span class="how">{words.rounded}</span>
            {budget.some(({ shared }) => shared !== null) && (
              <span class="how">
                {words.sharedMark} {words.shared}
              </span>
            )}
          </th>
          <td>±{amount(U95Mm, 3, 'mm')}</td>
        </tr>
      </tfoot>
    </table>
  );
}

function statedWords({ value, divisor, distribution, unit }: Budgeted['budget'][number]): string {
  const words = WORDS.budget;
  const shape = WORDS.distributions[distribution];
  return divisor === 1
    ? `${sizeIn(value, unit)} ${shape}`
    : words.stated(sizeIn(value, unit), shape, fixed(divisor, 2));
}

/** A temperature here is a difference: no zero point of its scale counts. */
function sizeIn(value: number, unit: string): string {
  return unit === 'Cel' ? sensibly(value, 'K') : sensibly(value, unit);
}

/** Millimetres for one unit, in the units of this screen. */
function sensitivityWords({ sensitivity, unit }: Budgeted['budget'][number]): string {
  const per = unit === 'Cel' ? 'K' : unit;
  const shown = convertSize(sensitivity, 'mm') / convertSize(1, per);
  return `${sensibly(shown, '1')} ${unitSign('mm')}/${unitSign(per) || '1'}`;
}
