/** How sure: the last reading with its uncertainty, short, and the verdict of the job where there is one. */
import { ago, chosen, measured } from './format.ts';
import { OldMark } from './old-mark.tsx';
import type { View } from './state.ts';
import { WORDS } from './words.ts';

export function SurePanel({ view, nowUtcMs }: { readonly view: View; readonly nowUtcMs: number }) {
  const { lastReading, verdict, job } = view;
  return (
    <section class={view.link === 'live' ? 'sure-panel' : 'sure-panel old'} aria-labelledby="sure-title">
      <h2 id="sure-title">
        {WORDS.howSure} {lastReading !== null && <OldMark view={view} />}
      </h2>
      {lastReading === null ? <p class="none">{WORDS.noReading}</p> : <Last last={lastReading} nowUtcMs={nowUtcMs} />}
      {job !== null && verdict !== null && (
        <p class="verdict" data-verdict={verdict.result}>
          <strong>{WORDS.verdicts[verdict.result]}</strong> <span>{WORDS.verdictOf(verdict.reading)}</span>
        </p>
      )}
    </section>
  );
}

function Last({ last, nowUtcMs }: { readonly last: NonNullable<View['lastReading']>; readonly nowUtcMs: number }) {
  const { id, levelMm, U95Mm, referenceC } = last.reading;
  const { value, U } = measured(levelMm, U95Mm, 'mm');
  return (
    <>
      <p class="sure-value">
        {value} <span>±{U}</span>
      </p>
      <p class="when">
        {WORDS.lastReading} {WORDS.number(id)}, {WORDS.at(chosen(referenceC, 'Cel'))},{' '}
        {ago((nowUtcMs - Date.parse(last.utc)) / 1000)}
      </p>
    </>
  );
}
