/** A value read from another display; a comma is taken for a decimal point, as people type it. */
import { useId, useState } from 'preact/hooks';
import { WORDS } from './words.ts';

interface Props {
  readonly channel: string;
  readonly unit: string;
  readonly disabled: boolean;
  readonly onKeep: (value: number) => boolean;
}

/** What is typed goes to the record as it is: in the unit of the channel, whatever this screen shows otherwise. */
const OWN_SIGNS: Readonly<Record<string, string>> = { Cel: '°C', '[degF]': '°F', '1': '' };

export function TypedField({ channel, unit, disabled, onKeep }: Props) {
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
      <label for={field}>{WORDS.typed(channel, OWN_SIGNS[unit] ?? unit)}</label>
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
