/** The state that the machine is in: readings of different states are not compared. */
import { useId } from 'preact/hooks';
import { WORDS } from './words.ts';

interface Props {
  readonly states: readonly string[];
  readonly stated: string;
  readonly disabled: boolean;
  readonly onChoose: (state: string) => void;
}

export function MachineField({ states, stated, disabled, onChoose }: Props) {
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
