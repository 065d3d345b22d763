/** The way of the job: steps done (with who and when), the one it is at, the next, and how many come after. */
import { useEffect, useId, useState } from 'preact/hooks';
import type { Asker } from '../asker.tsx';
import type { Desk } from '../desk.ts';
import { timeOfDay } from '../format.ts';
import { TextField } from '../text-field.tsx';
import { WORDS } from '../words.ts';
import type { JobProgress } from './progress.ts';
import { timesOf } from './times.ts';

type Step = JobProgress['steps'][number];

interface Props {
  readonly desk: Desk;
  readonly progress: JobProgress;
  readonly asker: Asker;
  readonly nowUtcMs: number;
}

export function StepsPanel({ desk, progress, asker, nowUtcMs }: Props) {
  const [open, setOpen] = useState(false);
  const { steps } = progress;
  const words = WORDS.run.steps;
  const done = steps.filter(({ state }) => state === 'done' || state === 'skipped');
  const ended = done.flatMap(({ ended: how }) => (how === null ? [] : [how.event]));
  const times = useTimes(desk, open ? ended : []);
  const at = steps.findIndex(({ state }) => state === 'now');
  const ahead = at < 0 ? [] : steps.slice(at + 1).filter(({ state }) => state === 'ahead');
  const [next, ...rest] = ahead;
  return (
    <section class="steps" aria-labelledby="steps-title">
      <h2 id="steps-title">{words.title}</h2>
      {done.length > 0 && (
        <details onToggle={(event) => setOpen(event.currentTarget.open)}>
          <summary>{words.done(done.length)}</summary>
          <ol>
            {done.map((step) => (
              <li key={step.id} data-done={step.id}>
                <span class="done-mark" aria-hidden="true" />
                <span>
                  {step.title}
                  {step.rounds > 1 && `, ${words.times(step.rounds)}`}
                  <span class="how">{howEnded(step, times, nowUtcMs)}</span>
                </span>
              </li>
            ))}
          </ol>
          <GoBack steps={done} asker={asker} connected={desk.view.link === 'live' && !progress.paused} />
        </details>
      )}
      {at >= 0 && (
        <p class="step-now">
          <strong>{steps[at]?.title}</strong> <span class="how">{words.now}</span>
        </p>
      )}
      {at >= 0 && (
        <p class="step-next">
          {words.next}: {next?.title ?? words.last}
        </p>
      )}
      {rest.length > 0 && (
        <details>
          <summary>{words.ahead(rest.length)}</summary>
          <ol>
            {rest.map(({ id, title }) => (
              <li key={id}>
                <span aria-hidden="true" />
                <span>{title}</span>
              </li>
            ))}
          </ol>
        </details>
      )}
    </section>
  );
}

function howEnded({ ended, state }: Step, times: ReadonlyMap<number, string>, nowUtcMs: number): string {
  if (ended === null) return '';
  const words = WORDS.run.steps;
  const utc = times.get(ended.event);
  const when = utc === undefined ? '' : timeOfDay(utc, new Date(nowUtcMs));
  const parts = [
    ...(state === 'skipped' ? [words.skipped] : []),
    words.by(ended.actor ?? words.byItself, when),
    ...(ended.words === null || ended.words === '' ? [] : [ended.words]),
  ];
  return parts.join(' · ');
}

/** When those events were, asked of the record as far as it is not known yet. */
function useTimes(desk: Desk, events: readonly number[]): ReadonlyMap<number, string> {
  const [times, setTimes] = useState<ReadonlyMap<number, string>>(new Map());
  const lacking = events.filter((event) => !times.has(event));
  const key = lacking.join(' ');
  useEffect(() => {
    if (key === '') return;
    let wanted = true;
    void timesOf(desk, key.split(' ').map(Number)).then((found) => {
      if (wanted && found.size > 0) setTimes((before) => new Map([...before, ...found]));
    });
    return () => {
      wanted = false;
    };
  }, [desk, key]);
  return times;
}

function GoBack({
  steps,
  asker,
  connected,
}: {
  readonly steps: readonly Step[];
  readonly asker: Asker;
  readonly connected: boolean;
}) {
  const words = WORDS.run.back;
  const [to, setTo] = useState('');
  const field = useId();
  const last = steps.at(-1)?.id ?? '';
  const chosen = steps.some(({ id }) => id === to) ? to : last;
  return (
    <details class="back">
      <summary>{words.open}</summary>
      <p class="stacked">
        <label for={field}>{words.to}</label>
        <select id={field} value={chosen} onChange={(event) => setTo(event.currentTarget.value)}>
          {steps.map(({ id, title }) => (
            <option key={id} value={id}>
              {title}
            </option>
          ))}
        </select>
      </p>
      <TextField
        label={words.reason}
        button={words.keep}
        most={500}
        disabled={!connected || chosen === ''}
        onKeep={(reason) => asker.ask({ type: 'go-back', to: chosen, reason })}
      />
    </details>
  );
}
