/** Alarms that are not normal: what, since when, how much, what to do; acknowledge, shelve, unshelve; and their sound. */
import { useEffect, useId, useState } from 'preact/hooks';
import { type Alarm, inOrder, toSound } from './alarm-fold.ts';
import { AlarmSound, keepMuted, keptMuted } from './alarm-sound.ts';
import { keepActor, keptActor } from './browser.ts';
import type { Desk } from './desk.ts';
import { ago, chosen, sensibly, span } from './format.ts';
import { freshness } from './judge.ts';
import type { View } from './state.ts';
import { TextField } from './text-field.tsx';
import { acceptedWords, WORDS } from './words.ts';

const MARKS = { high: '!!!', medium: '!!', low: '!' } as const;

interface Panel {
  readonly desk: Desk;
  readonly view: View;
  readonly nowMs: number;
  readonly nowUtcMs: number;
}

export function AlarmPanel({ desk, view, nowMs, nowUtcMs }: Panel) {
  const { sound, muted, setMuted } = useSound(view);
  const [, again] = useState(0);
  const alarms = inOrder(view.alarms);
  const first = toSound(view.alarms);
  if (alarms.length === 0) return null;
  const nameless = keptActor() === '';
  return (
    <section class={view.link === 'live' ? 'alarms' : 'alarms old'} aria-labelledby="alarms-title">
      <div class="alarms-head">
        <h2 id="alarms-title">{WORDS.alarms.title}</h2>
        {!muted && !sound.allowed && <p>{WORDS.alarms.soundWaits}</p>}
        <button type="button" class="quiet" aria-pressed={!muted} onClick={() => setMuted(!muted)}>
          {muted ? WORDS.alarms.soundOff : WORDS.alarms.soundOn}
        </button>
      </div>
      <p class="for-ears" role="alert">
        {first === null
          ? ''
          : WORDS.alarms.announce(
              WORDS.alarms.priorities[first.priority],
              WORDS.alarms.name(first.alarm, first.source),
              first.message ?? first.why,
            )}
      </p>
      {nameless && (
        <TextField
          label={WORDS.alarms.nameFirst}
          button={WORDS.alarms.nameKeep}
          most={80}
          disabled={false}
          onKeep={(name) => {
            keepActor(name);
            again((n) => n + 1);
            return true;
          }}
        />
      )}
      <ul>
        {alarms.map((alarm) => (
          <One
            key={`${alarm.alarm} ${alarm.source}`}
            alarm={alarm}
            view={view}
            nowMs={nowMs}
            nowUtcMs={nowUtcMs}
            disabled={view.link !== 'live' || nameless}
            act={(body) => desk.act(keptActor(), body)}
          />
        ))}
      </ul>
      <p class="alarm-answer" role="status">
        {answer(view)}
      </p>
    </section>
  );
}

interface OneAlarm {
  readonly alarm: Alarm;
  readonly view: View;
  readonly nowMs: number;
  readonly nowUtcMs: number;
  readonly disabled: boolean;
  readonly act: (body: Parameters<Desk['act']>[1]) => boolean;
}

function One({ alarm, view, nowMs, nowUtcMs, disabled, act }: OneAlarm) {
  const { state, priority, why, message, acknowledgedBy, shelved, active } = alarm;
  const name = useId();
  const which = { alarm: alarm.alarm, source: alarm.source };
  const open = state === 'unacknowledged' || state === 'returned-unacknowledged';
  const facts = [
    held(alarm, view, nowMs),
    WORDS.alarms.since(ago((nowUtcMs - Date.parse(alarm.utc)) / 1000)),
    ...(acknowledgedBy === null ? [] : [WORDS.alarms.acknowledgedBy(acknowledgedBy)]),
  ];
  const leftS = shelved === null ? 0 : (Date.parse(shelved.until) - nowUtcMs) / 1000;
  return (
    <li class={`alarm ${state}`} data-alarm={alarm.alarm} data-priority={priority} data-state={state}>
      <p class="alarm-name">
        <span class="mark" aria-hidden="true">
          {MARKS[priority]}
        </span>{' '}
        <strong id={name}>{WORDS.alarms.name(alarm.alarm, alarm.source)}</strong>{' '}
        <span class="alarm-state">
          {WORDS.alarms.standing(WORDS.alarms.priorities[priority], WORDS.alarms.states[state])}
        </span>
      </p>
      {message !== null && state !== 'shelved' && <p class="todo">{message}</p>}
      <p>{why}</p>
      <p class="facts">{facts.filter((one) => one !== '').join(' · ')}</p>
      {shelved !== null && (
        <p class="facts">
          {WORDS.alarms.shelvedBy(shelved.by, leftS < 1 ? WORDS.alarms.over : span(leftS), shelved.reason)}{' '}
          {active && WORDS.alarms.stillActive}
        </p>
      )}
      <div class="alarm-acts">
        {open && (
          <button
            type="button"
            disabled={disabled}
            aria-describedby={name}
            onClick={() => act({ type: 'acknowledge-alarm', ...which })}
          >
            {WORDS.alarms.acknowledge}
          </button>
        )}
        {state === 'shelved' ? (
          <button
            type="button"
            disabled={disabled}
            aria-describedby={name}
            onClick={() => act({ type: 'unshelve-alarm', ...which })}
          >
            {WORDS.alarms.unshelve}
          </button>
        ) : (
          <Shelve
            disabled={disabled}
            onShelve={(forS, reason) => act({ type: 'shelve-alarm', ...which, forS, reason })}
          />
        )}
      </div>
    </li>
  );
}

function Shelve({
  disabled,
  onShelve,
}: {
  readonly disabled: boolean;
  readonly onShelve: (forS: number, reason: string) => boolean;
}) {
  const [minutes, setMinutes] = useState<number>(WORDS.alarms.shelveTimes[1]?.minutes ?? 15);
  const field = useId();
  return (
    <details>
      <summary>{WORDS.alarms.shelve}</summary>
      <p class="field">
        <label for={field}>{WORDS.alarms.shelveFor}</label>
        <select id={field} value={minutes} onChange={(event) => setMinutes(Number(event.currentTarget.value))}>
          {WORDS.alarms.shelveTimes.map((time) => (
            <option key={time.minutes} value={time.minutes}>
              {time.words}
            </option>
          ))}
        </select>
      </p>
      <TextField
        label={WORDS.alarms.shelveReason}
        button={WORDS.alarms.shelveKeep}
        most={500}
        disabled={disabled}
        onKeep={(reason) => onShelve(60 * minutes, reason)}
      />
    </details>
  );
}

/** The value as it is now, which may be another one than the alarm came with. */
function held({ source, limit, unit }: Alarm, view: View, nowMs: number): string {
  if (limit === null || unit === null) return '';
  const value = view.live?.channels[source]?.value;
  if (value === undefined || freshness(view, source, nowMs).old) return WORDS.alarms.onlyLimit(chosen(limit, unit));
  return WORDS.alarms.nowAndLimit(sensibly(value, unit), chosen(limit, unit));
}

function answer({ asking }: View): string {
  if (asking === null || !(asking.type in WORDS.alarms.accepted)) return '';
  if (asking.status === 'accepted') return acceptedWords(asking.type);
  if (asking.status === 'refused') return WORDS.refused(asking.words);
  return asking.status === 'unanswered' ? WORDS.unanswered : '';
}

/** One sound for the page; it is let go with the first touch or key. */
function useSound(view: View) {
  const [sound] = useState(() => new AlarmSound());
  const [muted, setKept] = useState(keptMuted);
  const [, again] = useState(0);
  const priority = muted ? null : (toSound(view.alarms)?.priority ?? null);
  useEffect(() => {
    const allow = () => {
      sound.allow();
      again((n) => n + 1);
    };
    const gestures = ['pointerdown', 'keydown'] as const;
    for (const gesture of gestures) addEventListener(gesture, allow, { once: true });
    return () => {
      for (const gesture of gestures) removeEventListener(gesture, allow);
      sound.sound(null);
    };
  }, [sound]);
  useEffect(() => sound.sound(priority), [sound, priority]);
  return {
    sound,
    muted,
    setMuted: (off: boolean) => {
      keepMuted(off);
      setKept(off);
    },
  };
}
