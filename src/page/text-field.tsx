/** One line of text with a button: empty, it cannot be sent; sent, it is empty again. */
import { useId, useState } from 'preact/hooks';

export function TextField({
  label,
  button,
  most,
  disabled,
  onKeep,
}: {
  readonly label: string;
  readonly button: string;
  readonly most: number;
  readonly disabled: boolean;
  /** Whether it was sent. */
  readonly onKeep: (text: string) => boolean;
}) {
  const [text, setText] = useState('');
  const field = useId();
  const given = text.trim();
  return (
    <form
      class="field"
      onSubmit={(event) => {
        event.preventDefault();
        if (given !== '' && onKeep(given)) setText('');
      }}
    >
      <label for={field}>{label}</label>
      <input
        id={field}
        maxLength={most}
        value={text}
        autocomplete="off"
        onInput={(event) => setText(event.currentTarget.value)}
      />
      <button type="submit" disabled={disabled || given === ''}>
        {button}
      </button>
    </form>
  );
}
