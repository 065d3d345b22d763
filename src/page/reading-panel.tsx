/** The last reading in plain words, with its uncertainty budget for who asks. */
import { Budget } from './budget.tsx';
import { ago, amount, chosen, count, measured, span, timeOfDay, uncertainty } from './format.ts';
import type { LastReading } from './marks.ts';
import { OldMark } from './old-mark.tsx';
import type { View } from './state.ts';
import { language, WORDS } from './words.ts';

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
  const { number, sign, U } = measured(reading.levelMm, reading.U95Mm, 'mm');
  const { decimals } = uncertainty(reading.U95Mm);
  const facts = [
    WORDS.plusMinus(U),
    WORDS.cause[reading.cause],
    `${WORDS.readingFrom(count(reading.used), span((reading.toUs - reading.fromUs) / 1e6))}, ${WORDS.setAside(count(reading.setAside))}`,
    WORDS.measuredHot(amount(reading.rawLevelMm, decimals, 'mm'), amount(reading.temperatureC, 1, 'Cel')),
    ...(reading.machineState === '' ? [] : [WORDS.machine(reading.machineState)]),
  ];
  return (
    <>
      <p class="told" data-reading={reading.id}>
        <span class="value">
          <span class="number">{number}</span> <span class="unit">{sign}</span>
        </span>{' '}
        <span class="sure">
          {WORDS.at(chosen(reading.referenceC, 'Cel'))}, {sureWords(reading.words.sure, U, sign)}
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

/** The bench says it in plain English and in millimetres; elsewhere the figure says it. */
function sureWords(said: string, U: string, sign: string): string {
  return language() === 'en' && sign === 'mm' ? said : WORDS.sureTo(U);
}
