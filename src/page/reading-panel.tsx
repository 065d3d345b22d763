/** The last reading in plain words, with its uncertainty budget for who asks. */
import { ago, amount, chosen, count, fixed, sensibly, span, timeOfDay, uncertainty, unitSign } from './format.ts';
import type { LastReading } from './marks.ts';
import { OldMark } from './old-mark.tsx';
import type { View } from './state.ts';
import { WORDS } from './words.ts';

export function ReadingPanel({ view, nowUtcMs }: { readonly view: View; readonly nowUtcMs: number }) {
  return (
    <section class={view.link === 'live' ? 'reading' : 'reading old'} aria-labelledby="reading-title">
      <h2 id="reading-title">
        {WORDS.lastReading} {view.lastReading !== null && <OldMark view={view} />}
      </h2>
      {view.lastReading === null ? (
        <p class="none">{WORDS.noReading}</p>
      ) : (
        <Told last={view.lastReading} nowUtcMs={nowUtcMs} />
      )}
    </section>
  );
}

function Told({ last, nowUtcMs }: { readonly last: LastReading; readonly nowUtcMs: number }) {
  const { reading, utc } = last;
  const { decimals, text } = uncertainty(reading.U95Mm);
  const facts = [
    WORDS.plusMinus(amount(Number(text), decimals, 'mm')),
    WORDS.cause[reading.cause],
    `${WORDS.readingFrom(reading.used, span((reading.toUs - reading.fromUs) / 1e6))}, ${WORDS.setAside(reading.setAside)}`,
    WORDS.measuredHot(amount(reading.rawLevelMm, decimals, 'mm'), amount(reading.temperatureC, 1, 'Cel')),
    ...(reading.machineState === '' ? [] : [WORDS.machine(reading.machineState)]),
  ];
  return (
    <>
      <p class="told" data-reading={reading.id}>
        <span class="value">
          <span class="number">{fixed(reading.levelMm, decimals)}</span> <span class="unit">mm</span>
        </span>{' '}
        <span class="sure">
          {WORDS.at(chosen(reading.referenceC, 'Cel'))}, {reading.words.sure}
        </span>
      </p>
      <p class="when">
        <span>{WORDS.number(reading.id)}</span> <time dateTime={utc}>{timeOfDay(utc, new Date(nowUtcMs))}</time>{' '}
        <span>{ago((nowUtcMs - Date.parse(utc)) / 1000)}</span>
      </p>
      <ul class="facts">
        {facts.map((fact) => (
          <li key={fact}>{fact}</li>
        ))}
      </ul>
      <details>
        <summary>{WORDS.budget.summary}</summary>
        <Budget {...reading} />
        <p class="frames">{WORDS.budget.frames(count(reading.firstSeq), count(reading.lastSeq))}</p>
      </details>
    </>
  );
}

type Budgeted = Pick<LastReading['reading'], 'budget' | 'coverageFactor' | 'U95Mm'>;

/** The table for who asks: every component, as it was stated and what it adds. */
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
              {line.component}
              {line.shared !== null && <abbr title={words.shared}>{words.sharedMark}</abbr>}
              <span class="how">
                {words.how(
                  `${line.type} · ${words.kinds[line.type]}`,
                  statedWords(line),
                  `${sensibly(line.sensitivity, '1')} mm/${unitSign(line.unit) || '1'}`,
                )}
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
  const shape = words.distributions[distribution];
  return divisor === 1
    ? `${sensibly(value, unit)} ${shape}`
    : words.stated(sensibly(value, unit), shape, fixed(divisor, 2));
}
