/** Asking the bench for something under a name: the name is typed once and kept, and the answer is told. */
import type { RefObject } from 'preact';
import { useRef, useState } from 'preact/hooks';
import type { ActionBody } from '../core/events.ts';
import { keepActor, keptActor } from './browser.ts';
import type { Desk } from './desk.ts';
import type { Asking, View } from './state.ts';
import { acceptedWords, refusalWords, WORDS } from './words.ts';

export interface Asker {
  readonly name: string;
  readonly typing: boolean;
  readonly hint: 'none' | 'name' | 'lost';
  readonly field: RefObject<HTMLInputElement | null>;
  /** Takes the name over from the field; asks for it where there is none. */
  named(): string | null;
  rename(): void;
  /** Under the name; whether it was sent. */
  ask(body: ActionBody): boolean;
}

export function useAsker(desk: Desk): Asker {
  const [name, setName] = useState(keptActor);
  const [typing, setTyping] = useState(name === '');
  const [hint, setHint] = useState<Asker['hint']>('none');
  const field = useRef<HTMLInputElement>(null);

  function named(): string | null {
    const given = (typing ? (field.current?.value ?? '') : name).trim();
    if (given === '') {
      setHint('name');
      setTyping(true);
      field.current?.focus();
      return null;
    }
    keepActor(given);
    setName(given);
    setTyping(false);
    setHint('none');
    return given;
  }

  return {
    name,
    typing,
    hint,
    field,
    named,
    rename: () => setTyping(true),
    ask(body) {
      const given = named();
      if (given === null) return false;
      const sent = desk.act(given, body);
      if (!sent) setHint('lost');
      return sent;
    },
  };
}

/** Who asks. */
export function NameField({ asker }: { readonly asker: Asker }) {
  if (!asker.typing)
    return (
      <p class="actor">
        <span>{WORDS.actorAs(asker.name)}</span>
        <button type="button" class="quiet" onClick={() => asker.rename()}>
          {WORDS.actorChange}
        </button>
      </p>
    );
  return (
    <form
      class="field"
      onSubmit={(event) => {
        event.preventDefault();
        asker.named();
      }}
    >
      <label for="actor">{WORDS.actor}</label>
      <input id="actor" ref={asker.field} maxLength={80} autocomplete="name" defaultValue={asker.name} />
      <button type="submit">{WORDS.actorKeep}</button>
    </form>
  );
}

/** What came of it, or what stands in the way; `idle` while nothing was asked. */
export function Answer({ asker, view, idle }: { readonly asker: Asker; readonly view: View; readonly idle: string }) {
  const said = asker.hint !== 'none' || view.asking !== null;
  return (
    <p class={said ? 'answer said' : 'answer'} role="status">
      {answer(asker, view) ?? idle}
    </p>
  );
}

function answer({ hint }: Asker, view: View): string | null {
  if (hint !== 'none') return hint === 'name' ? WORDS.actorFirst : WORDS.takeLost;
  if (view.asking !== null) return told(view.asking);
  return view.link === 'live' ? null : WORDS.takeLost;
}

function told(asking: Asking): string {
  switch (asking.status) {
    case 'sent':
      return '';
    case 'accepted':
      return acceptedWords(asking.type);
    case 'refused':
      return WORDS.refused(refusalWords(asking.refusal, asking.words));
    case 'unanswered':
      return WORDS.unanswered;
  }
}
