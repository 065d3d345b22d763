/** What the technician can ask for: a reading now, a note for the record. The name is typed once and kept. */
import { useId, useRef, useState } from 'preact/hooks';
import type { ActionBody } from '../core/events.ts';
import { keepActor, keptActor } from './browser.ts';
import type { Desk } from './desk.ts';
import { unitSign } from './format.ts';
import type { Asking, View } from './state.ts';
import { TextField } from './text-field.tsx';
import { acceptedWords, WORDS } from './words.ts';

export function ActionPanel({ desk, view }: { readonly desk: Desk; readonly view: View }) {
  const [actor, setActor] = useState(keptActor);
  const [typing, setTyping] = useState(actor === '');
  const [hint, setHint] = useState('');
  const nameField = useRef<HTMLInputElement>(null);
  const connected = view.link === 'live';
  const ready = connected && view.live?.ready === true;

  /** The name to act under; asks for it where there is none. */
  function named(): string | null {
    const name = (typing ? (nameField.current?.value ?? '') : actor).trim();
    if (name === '') {
      setHint(WORDS.actorFirst);
      setTyping(true);
      nameField.current?.focus();
      return null;
    }
    keepActor(name);
    setActor(name);
    setTyping(false);
    setHint('');
    return name;
  }

  /** Under the actor's name; whether it was sent. */
  function ask(body: ActionBody): boolean {
    const name = named();
    if (name === null) return false;
    const sent = desk.act(name, body);
    if (!sent) setHint(WORDS.takeLost);
    return sent;
  }

  return (
    <section class="actions">
      <button
        type="button"
        class={ready ? 'take ready' : 'take'}
        disabled={!connected}
        onClick={() => ask({ type: 'take-reading' })}
      >
        {view.asking?.status === 'sent' && connected ? WORDS.taking : WORDS.take}
      </button>
      <p class={hint !== '' || view.asking !== null ? 'answer said' : 'answer'} role="status">
        {hint !== '' ? hint : answer(view, connected, ready)}
      </p>
      {typing ? (
        <form
          class="field"
          onSubmit={(event) => {
            event.preventDefault();
            named();
          }}
        >
          <label for="actor">{WORDS.actor}</label>
          <input id="actor" ref={nameField} maxLength={80} autocomplete="name" defaultValue={actor} />
          <button type="submit">{WORDS.actorKeep}</button>
        </form>
      ) : (
        <p class="actor">
          <span>{WORDS.actorAs(actor)}</span>
          <button type="button" class="quiet" onClick={() => setTyping(true)}>
            {WORDS.actorChange}
          </button>
        </p>
      )}
      {typedChannels(view).map(({ id, unit }) => (
        <TypedField
          key={id}
          label={WORDS.typed(id, unitSign(unit))}
          disabled={!connected}
          onKeep={(value) => ask({ type: 'type-value', channel: id, value })}
        />
      ))}
      {view.bench !== null && view.bench.machineStates.length > 0 && (
        <MachineField
          states={view.bench.machineStates}
          stated={view.machine?.stated ?? ''}
          disabled={!connected}
          onChoose={(state) => ask({ type: 'state-machine', state })}
        />
      )}
      {!ready && (
        <details>
          <summary>{WORDS.anyway.open}</summary>
          <p class="target">{WORDS.anyway.what}</p>
          <TextField
            label={WORDS.anyway.reason}
            button={WORDS.anyway.take}
            most={500}
            disabled={!connected}
            onKeep={(anyway) => ask({ type: 'take-reading', anyway })}
          />
        </details>
      )}
      {view.job === null ? (
        <details>
          <summary>{WORDS.jobs.start}</summary>
          <TextField
            label={WORDS.jobs.label}
            button={WORDS.jobs.begin}
            most={200}
            disabled={!connected}
            onKeep={(label) => ask({ type: 'start-job', label })}
          />
        </details>
      ) : (
        <button type="button" class="quiet" disabled={!connected} onClick={() => ask({ type: 'close-job' })}>
          {WORDS.jobs.close(view.job.label)}
        </button>
      )}
      <details>
        <summary>{WORDS.noteAdd}</summary>
        <TextField
          label={WORDS.note}
          button={WORDS.noteKeep}
          most={2000}
          disabled={!connected}
          onKeep={(text) => ask({ type: 'note', text })}
        />
      </details>
    </section>
  );
}

/** A value read from another display; a comma is taken for a decimal point, as people type it. */
function TypedField({
  label,
  disabled,
  onKeep,
}: {
  readonly label: string;
  readonly disabled: boolean;
  readonly onKeep: (value: number) => boolean;
}) {
  const [text, setText] = useState('');
  const number = /^\s*[+-]?\d+([.,]\d+)?\s*$/.test(text) ? Number(text.replace(',', '.')) : null;
  const field = useId();
  return (
    <form
      class="field"
      onSubmit={(event) => {
        event.preventDefault();
        if (number !== null && onKeep(number)) setText('');
      }}
    >
      <label for={field}>{label}</label>
      <input
        id={field}
        inputMode="decimal"
        autocomplete="off"
        maxLength={12}
        value={text}
        onInput={(event) => setText(event.currentTarget.value)}
      />
      <button type="submit" disabled={disabled || number === null}>
        {WORDS.typedKeep}
      </button>
    </form>
  );
}

/** The state that the machine is in: readings of different states are not compared. */
function MachineField({
  states,
  stated,
  disabled,
  onChoose,
}: {
  readonly states: readonly string[];
  readonly stated: string;
  readonly disabled: boolean;
  readonly onChoose: (state: string) => void;
}) {
  const field = useId();
  return (
    <p class="field">
      <label for={field}>{WORDS.machineNow}</label>
      <select
        id={field}
        value={stated}
        disabled={disabled}
        onChange={(event) => {
          const chosen = event.currentTarget.value;
          // What counts is what the record says: it comes back with the outcome.
          event.currentTarget.value = stated;
          if (chosen !== '') onChoose(chosen);
        }}
      >
        <option value="">{WORDS.machineUnknown}</option>
        {states.map((state) => (
          <option key={state} value={state}>
            {state}
          </option>
        ))}
      </select>
    </p>
  );
}

function typedChannels(view: View) {
  return (view.bench?.channels ?? []).filter(({ instrument }) => instrument === 'typed');
}

function answer(view: View, connected: boolean, ready: boolean): string {
  if (view.asking !== null) return told(view.asking);
  if (!connected) return WORDS.takeLost;
  return ready ? '' : WORDS.takeEarly;
}

function told(asking: Asking): string {
  switch (asking.status) {
    case 'sent':
      return '';
    case 'accepted':
      return acceptedWords(asking.type);
    case 'refused':
      return WORDS.refused(asking.words);
    case 'unanswered':
      return WORDS.unanswered;
  }
}
