/** What the technician can ask for besides the leading action: values, the machine, a reading anyway, a note. */
import type { Asker } from './asker.tsx';
import { MachineField } from './machine-field.tsx';
import type { View } from './state.ts';
import { TextField } from './text-field.tsx';
import { TypedField } from './typed-field.tsx';
import { WORDS } from './words.ts';

export function ActionPanel({ asker, view }: { readonly asker: Asker; readonly view: View }) {
  const connected = view.link === 'live';
  const ready = connected && view.live?.ready === true;
  const typed = (view.bench?.channels ?? []).filter(({ instrument }) => instrument === 'typed');
  return (
    <section class="actions">
      {typed.map(({ id, unit }) => (
        <TypedField
          key={id}
          channel={id}
          unit={unit}
          disabled={!connected}
          onKeep={(value) => asker.ask({ type: 'type-value', channel: id, value })}
        />
      ))}
      {view.bench !== null && view.bench.machineStates.length > 0 && (
        <MachineField
          states={view.bench.machineStates}
          stated={view.machine?.stated ?? ''}
          disabled={!connected}
          onChoose={(state) => asker.ask({ type: 'state-machine', state })}
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
            onKeep={(anyway) => asker.ask({ type: 'take-reading', anyway })}
          />
        </details>
      )}
      <details>
        <summary>{WORDS.noteAdd}</summary>
        <TextField
          label={WORDS.note}
          button={WORDS.noteKeep}
          most={2000}
          disabled={!connected}
          onKeep={(text) => asker.ask({ type: 'note', text })}
        />
      </details>
    </section>
  );
}
