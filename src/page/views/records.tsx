/** What is on record, newest first, as the bench hands it out by event number. */
import { useEffect, useState } from 'preact/hooks';
import type { ViewProps } from '../app.tsx';
import { timeOfDay } from '../format.ts';
import { eventWords } from '../news.ts';
import { type Past, pastOf } from '../past.ts';
import { WORDS } from '../words.ts';

export function RecordsView({ desk, nowUtcMs }: ViewProps) {
  const { lastEvent, hello, link } = desk.view;
  const [past, setPast] = useState<Past | null>(null);
  const [pages, setPages] = useState(1);
  const [failed, setFailed] = useState(false);
  const journal = hello?.journal ?? '';
  useEffect(() => {
    if (lastEvent === null || link !== 'live') return;
    let wanted = true;
    void pastOf(desk, lastEvent, pages).then((found) => {
      if (!wanted) return;
      setFailed(found === null);
      if (found !== null) setPast(found);
    });
    return () => {
      wanted = false;
    };
  }, [desk, lastEvent, journal, pages, link]);

  const words = WORDS.records;
  if (past === null || past.events.length === 0) return <p class="none">{failed ? words.failed : words.none}</p>;
  return (
    <section class={link === 'live' ? 'records' : 'records old'} aria-labelledby="records-title">
      <h2 id="records-title">{words.title}</h2>
      {failed && <p class="fault">{words.failed}</p>}
      <table>
        <thead>
          <tr>
            <th scope="col">{words.when}</th>
            <th scope="col">{words.what}</th>
          </tr>
        </thead>
        <tbody>
          {past.events.map(({ utc, outcome }) => (
            <tr key={outcome.event} data-kind={outcome.kind}>
              <td>
                <time dateTime={utc}>{timeOfDay(utc, new Date(nowUtcMs))}</time>
              </td>
              <td>{eventWords(outcome)}</td>
            </tr>
          ))}
        </tbody>
      </table>
      {past.more && (
        <button type="button" onClick={() => setPages(pages + 1)}>
          {words.older}
        </button>
      )}
    </section>
  );
}
