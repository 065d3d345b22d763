/** Further back: any channel over an hour up to a week, closer and wider, earlier and later. */
import { useEffect, useId, useMemo, useRef, useState } from 'preact/hooks';
import type { History } from '../feed/messages.ts';
import type { Desk } from './desk.ts';
import { momentIn, sensibly } from './format.ts';
import { HistoryPlot } from './history-plot.ts';
import { onSettings, settings } from './settings.ts';
import { moved, type Stretch, scaled, within } from './stretch.ts';
import { gapped } from './trace.ts';
import { HOUR_S, SPANS_S } from './traces.ts';
import { convert } from './units.ts';
import { WORDS } from './words.ts';

export function HistoryPanel({ desk }: { readonly desk: Desk }) {
  const words = WORDS.history;
  const { bench, link } = desk.view;
  const [channel, setChannel] = useState('');
  const [spanS, setSpanS] = useState<number>(HOUR_S);
  const [history, setHistory] = useState<History | null>(null);
  const [shown, setShown] = useState<Stretch | null>(null);
  const [pointed, setPointed] = useState<number | null>(null);
  const field = useId();
  const chosen = channel === '' ? (bench?.levelChannel ?? '') : channel;
  useEffect(() => {
    if (chosen === '' || link !== 'live') return;
    let wanted = true;
    void desk.history(chosen, spanS).then((found) => {
      if (!wanted) return;
      setHistory(found);
      setShown(null);
      setPointed(null);
    });
    return () => {
      wanted = false;
    };
  }, [desk, chosen, spanS, link]);

  const first = history?.utcMs[0];
  const last = history?.utcMs.at(-1);
  const whole = first === undefined || last === undefined ? null : { fromS: first / 1000, toS: last / 1000 };
  const now = whole === null ? null : (shown ?? whole);
  const move = (to: (now: Stretch, whole: Stretch) => Stretch) => () => {
    if (whole !== null && now !== null) setShown(to(now, whole));
  };
  return (
    <section class={link === 'live' ? 'history' : 'history old'} aria-labelledby="history-title">
      <h2 id="history-title">{words.title}</h2>
      <p class="field">
        <label for={field}>{WORDS.values.channel}</label>
        <select id={field} value={chosen} onChange={(event) => setChannel(event.currentTarget.value)}>
          {(bench?.channels ?? []).map(({ id }) => (
            <option key={id} value={id}>
              {id}
            </option>
          ))}
        </select>
      </p>
      <fieldset class="choice">
        <legend>{words.span}</legend>
        {SPANS_S.map((s) => (
          <label key={s}>
            <input type="radio" name={`${field}-span`} checked={s === spanS} onChange={() => setSpanS(s)} />
            <span>{words.hours(s / HOUR_S)}</span>
          </label>
        ))}
      </fieldset>
      {history === null || now === null || whole === null ? (
        <p class="none">{words.none}</p>
      ) : (
        <>
          <Drawn history={history} shown={now} onPoint={setPointed} onDraw={(to) => setShown(within(to, whole))} />
          <p class="pointed">{pointedWords(history, pointed, now) ?? rangeWords(now)}</p>
          <p class="buttons">
            <button type="button" onClick={move((at, all) => scaled(at, 0.5, all))}>
              {words.closer}
            </button>
            <button type="button" onClick={move((at, all) => scaled(at, 2, all))}>
              {words.wider}
            </button>
            <button type="button" onClick={move((at, all) => moved(at, -0.5, all))}>
              {words.earlier}
            </button>
            <button type="button" onClick={move((at, all) => moved(at, 0.5, all))}>
              {words.later}
            </button>
          </p>
        </>
      )}
    </section>
  );
}

interface DrawnProps {
  readonly history: History;
  readonly shown: Stretch;
  readonly onPoint: (utcS: number | null) => void;
  readonly onDraw: (stretch: Stretch) => void;
}

function Drawn({ history, shown, onPoint, onDraw }: DrawnProps) {
  const frame = useRef<HTMLDivElement>(null);
  const plot = useRef<HistoryPlot | null>(null);
  // Live values draw the page anew ten times a second; the past changes only when it is asked for.
  const past = useMemo(() => pastOf(history, shown), [history, shown.fromS, shown.toS, settings()]);
  const latest = useRef({ past, onPoint, onDraw });
  latest.current = { past, onPoint, onDraw };
  useEffect(() => {
    const into = frame.current;
    if (into === null) return;
    const build = () => {
      plot.current?.remove();
      plot.current = new HistoryPlot(into, latest.current.past, {
        pointed: (utcS) => latest.current.onPoint(utcS),
        drawn: (stretch) => latest.current.onDraw(stretch),
      });
    };
    build();
    const resized = new ResizeObserver(() => plot.current?.size(into.clientWidth, into.clientHeight));
    resized.observe(into);
    const unsettled = onSettings(build);
    return () => {
      resized.disconnect();
      unsettled();
      plot.current?.remove();
      plot.current = null;
    };
  }, []);
  useEffect(() => plot.current?.show(past), [past]);
  return (
    <div
      class="chart"
      role="img"
      data-chart="history"
      aria-label={`${history.channel}: ${rangeWords(shown)}`}
      ref={frame}
    />
  );
}

function pastOf({ utcMs, min, max, unit }: History, shown: Stretch) {
  const turned = (column: readonly number[]) => column.map((value) => convert(value, unit));
  return {
    columns: gapped(utcMs, turned(min), turned(max)),
    shown,
    timeWords: (utcS: number) => momentIn(shown.toS - shown.fromS, utcS),
  };
}

function pointedWords({ utcMs, min, max, unit }: History, utcS: number | null, shown: Stretch): string | null {
  const index = utcMs.findIndex((ms) => ms / 1000 === utcS);
  const low = min[index];
  const high = max[index];
  if (utcS === null || low === undefined || high === undefined) return null;
  const value = low === high ? sensibly(low, unit) : `${sensibly(low, unit)} – ${sensibly(high, unit)}`;
  return `${momentIn(shown.toS - shown.fromS, utcS)}: ${value}`;
}

function rangeWords({ fromS, toS }: Stretch): string {
  return `${momentIn(toS - fromS, fromS)} – ${momentIn(toS - fromS, toS)}`;
}
