/** Numbers with gloves on: large keys on the page itself, beside what a keyboard types. A prefilled number is replaced. */
import { useId, useRef, useState } from 'preact/hooks';
import { WORDS } from '../words.ts';
import { decimalSign, numberIn } from './quantity.ts';

export interface NumberField {
  readonly id: string;
  readonly label: string;
  /** Sign of the unit that is typed. */
  readonly sign: string;
  readonly text: string;
  /** What may be typed, or why what was typed may not. */
  readonly hint: string;
  readonly wrong: boolean;
  readonly signed: boolean;
}

interface Props {
  readonly fields: readonly NumberField[];
  readonly onChange: (id: string, text: string) => void;
  readonly button: string;
  readonly disabled: boolean;
  readonly onKeep: () => void;
}

const FIGURES = ['7', '8', '9', '4', '5', '6', '1', '2', '3'] as const;
const MOST = 9;

export function NumberPad({ fields, onChange, button, disabled, onKeep }: Props) {
  const [chosen, setChosen] = useState(fields[0]?.id ?? '');
  /** Fields whose first text was taken over; the others are replaced by the first key. */
  const begun = useRef(new Set<string>());
  const base = useId();
  const active = fields.find(({ id }) => id === chosen) ?? fields[0];
  if (active === undefined) return null;

  function press(key: string): void {
    if (active === undefined) return;
    const before = begun.current.has(active.id) ? active.text : '';
    begun.current.add(active.id);
    if (before.length < MOST) onChange(active.id, before + key);
  }
  function turn(): void {
    if (active === undefined) return;
    begun.current.add(active.id);
    onChange(active.id, /^[−-]/.test(active.text) ? active.text.slice(1) : `−${active.text}`);
  }
  function shorten(): void {
    if (active === undefined) return;
    onChange(active.id, begun.current.has(active.id) ? active.text.slice(0, -1) : '');
    begun.current.add(active.id);
  }

  return (
    <form
      class="number-pad"
      onSubmit={(event) => {
        event.preventDefault();
        if (!disabled) onKeep();
      }}
    >
      <div class="number-fields">
        {fields.map(({ id, label, sign, text, hint, wrong }) => (
          <div key={id} class={id === active.id ? 'number-field chosen' : 'number-field'}>
            <label for={`${base}-${id}`}>{label}</label>
            <span class="number-line">
              <input
                id={`${base}-${id}`}
                name={id}
                inputMode="none"
                autocomplete="off"
                maxLength={MOST + 3}
                value={text}
                aria-invalid={wrong}
                aria-describedby={`${base}-${id}-hint`}
                onFocus={(event) => {
                  setChosen(id);
                  event.currentTarget.select();
                }}
                onInput={(event) => {
                  begun.current.add(id);
                  onChange(id, event.currentTarget.value);
                }}
              />
              <span class="number-unit">{sign}</span>
            </span>
            <span id={`${base}-${id}-hint`} class={wrong ? 'hint wrong' : 'hint'}>
              {hint}
            </span>
          </div>
        ))}
      </div>
      <fieldset class="number-keys">
        <legend class="for-ears">{WORDS.run.keys.title}</legend>
        {FIGURES.map((figure) => (
          <button key={figure} type="button" onClick={() => press(figure)}>
            {figure}
          </button>
        ))}
        <button type="button" onClick={() => press(decimalSign())}>
          {decimalSign()}
        </button>
        <button type="button" onClick={() => press('0')}>
          0
        </button>
        <button type="button" aria-label={WORDS.run.keys.delete} onClick={shorten}>
          ⌫
        </button>
        {active.signed && (
          <button type="button" class="turn" aria-label={WORDS.run.keys.sign} onClick={turn}>
            ±
          </button>
        )}
      </fieldset>
      <button
        type="submit"
        class="keep"
        disabled={disabled || fields.some(({ wrong, text }) => wrong || numberIn(text) === null)}
      >
        {button}
      </button>
    </form>
  );
}
