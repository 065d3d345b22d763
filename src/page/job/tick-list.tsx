/** A list to be ticked: each tick goes to the bench at once; the last of them goes with the word that the step is done. */
import { useEffect, useId, useState } from 'preact/hooks';
import type { Asker } from '../asker.tsx';
import { LeadButton } from '../lead-button.tsx';
import type { View } from '../state.ts';
import { WORDS } from '../words.ts';
import type { NowStep } from './progress.ts';

export interface Ticking {
  readonly ticked: (id: string) => boolean;
  readonly tick: (id: string) => void;
  readonly done: number;
  readonly complete: boolean;
  /** What the leading key does: the next tick, or the end of the step. */
  readonly lead: { readonly words: string; readonly due: boolean; readonly onDo: () => void };
}

/** Ticks of this device wait here until the bench has them; what was refused is forgotten. */
export function useTicks(now: NowStep, view: View, asker: Asker, note = ''): Ticking {
  const [mine, setMine] = useState<readonly string[]>([]);
  const { ticks } = now;
  const has = (id: string) => mine.includes(id) || ticks.some((tick) => tick.id === id && tick.done);
  const open = ticks.filter(({ id }) => !has(id));
  const complete = open.length === 0;
  const asking = view.asking?.type === 'confirm' ? view.asking.status : null;
  const waiting = view.asking?.status === 'sent';
  const untold = ticks.filter(({ id, done }) => mine.includes(id) && !done).map(({ id }) => id);
  // All of them would end the step: the last waits for the word that it is done.
  const toTell = complete ? untold.slice(0, -1) : untold;
  const key = toTell.join(' ');
  const { step } = now;
  useEffect(() => {
    if (asking === 'refused') setMine([]);
  }, [asking]);
  useEffect(() => {
    if (key === '' || waiting || view.link !== 'live' || asking === 'refused') return;
    if (!asker.ask({ type: 'confirm', step, ticks: key.split(' ') })) setMine([]);
  });
  const tick = (id: string) =>
    setMine((before) => (before.includes(id) ? before.filter((one) => one !== id) : [...before, id]));
  const single = ticks.length === 1;
  const finish = () =>
    asker.ask({
      ...{ type: 'confirm', step, ticks: ticks.map(({ id }) => id) },
      ...(note.trim() === '' ? {} : { note: note.trim() }),
    });
  const live = view.link === 'live' && !waiting;
  const blocked = now.blocked.length > 0;
  const next = open[0];
  return {
    ...{ ticked: has, tick, done: ticks.length - open.length, complete },
    lead:
      complete || single || next === undefined
        ? { words: WORDS.run.ticks[single ? 'one' : 'all'], due: live && !blocked, onDo: finish }
        : { words: WORDS.run.ticks.next, due: live, onDo: () => tick(next.id) },
  };
}

interface Props {
  readonly now: NowStep;
  readonly view: View;
  readonly asker: Asker;
}

export function TickList({ now, view, asker }: Props) {
  const [note, setNote] = useState('');
  const field = useId();
  const ticking = useTicks(now, view, asker, note);
  const connected = view.link === 'live';
  const words = WORDS.run.ticks;
  return (
    <>
      <ul class="ticks">
        {now.ticks.map(({ id, words: what, done }) => (
          <li key={id}>
            {/* biome-ignore lint/a11y/useSemanticElements: a whole row is the target, with its own look */}
            <button
              type="button"
              role="checkbox"
              aria-checked={ticking.ticked(id)}
              disabled={!connected || done}
              data-tick={id}
              onClick={() => ticking.tick(id)}
            >
              <span class="box" aria-hidden="true" />
              <span>{what}</span>
            </button>
          </li>
        ))}
      </ul>
      {now.ticks.length > 1 && <p class="aside">{words.count(ticking.done, now.ticks.length)}</p>}
      {now.note && (
        <p class="field">
          <label for={field}>{words.note}</label>
          <input
            id={field}
            class="note"
            maxLength={2000}
            autocomplete="off"
            value={note}
            onInput={(event) => setNote(event.currentTarget.value)}
          />
        </p>
      )}
      {now.photo && <p class="aside">{words.photo}</p>}
      <LeadButton {...ticking.lead} disabled={!ticking.lead.due} />
    </>
  );
}
