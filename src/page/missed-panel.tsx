/** Once the connection is back: what happened meanwhile, until somebody says that it was seen. */
import type { Desk } from './desk.ts';
import { span, timeOfDay } from './format.ts';
import { eventWords, WORTH_A_WORD_MS } from './news.ts';
import { WORDS } from './words.ts';

const SHOWN = 6;

export function MissedPanel({ desk, nowMs }: { readonly desk: Desk; readonly nowMs: number }) {
  const { missed, link } = desk.view;
  if (missed === null || link !== 'live') return null;
  const forMs = (missed.toMs ?? nowMs) - missed.fromMs;
  if (missed.events.length === 0 && forMs < WORTH_A_WORD_MS) return null;
  const newest = missed.events.slice(-SHOWN).reverse();
  const more = missed.events.length - newest.length;
  return (
    <section class="missed" aria-labelledby="missed-title">
      <h2 id="missed-title">{WORDS.missed.title(span(forMs / 1000))}</h2>
      {newest.length === 0 ? (
        <p>{WORDS.missed.nothing}</p>
      ) : (
        <ul>
          {newest.map(({ utc, outcome }) => (
            <li key={outcome.event}>
              <time dateTime={utc}>{timeOfDay(utc, new Date())}</time> {eventWords(outcome)}
            </li>
          ))}
          {more > 0 && <li>{WORDS.missed.more(more)}</li>}
        </ul>
      )}
      <button type="button" onClick={() => desk.seen()}>
        {WORDS.missed.seen}
      </button>
    </section>
  );
}
