/** A job is begun: what it follows and the kind of machine are those of the last one, all else is asked anew. */
import { useId, useState } from 'preact/hooks';
import { Answer, type Asker, NameField } from '../asker.tsx';
import { timeOfDay } from '../format.ts';
import { LeadButton } from '../lead-button.tsx';
import type { View } from '../state.ts';
import { WORDS } from '../words.ts';
import { Cautions } from './step-panel.tsx';

interface Props {
  readonly view: View;
  readonly asker: Asker;
  readonly nowUtcMs: number;
}

const NONE = '';

export function StartPanel({ view, asker, nowUtcMs }: Props) {
  const offered = view.bench?.procedures ?? [];
  const { lastStart, machineTypes } = view;
  const last =
    offered.find(({ id }) => id === lastStart?.procedure) ?? (lastStart?.procedure == null ? offered[0] : undefined);
  const [picked, setPicked] = useState<string | null>(null);
  const [typedType, setTypedType] = useState<string | null>(null);
  const [label, setLabel] = useState('');
  const [fields, setFields] = useState<Readonly<Record<string, string>>>({});
  const base = useId();
  const procedure = offered.find(({ id }) => id === (picked ?? last?.id ?? NONE));
  const machineType = (typedType ?? lastStart?.machineType ?? '').trim();
  const words = WORDS.run.start;
  const connected = view.link === 'live';
  const lacking = (procedure?.fields ?? []).filter(({ id, required }) => required && (fields[id] ?? '').trim() === '');
  const proposed = [machineType, timeOfDay(`${new Date(nowUtcMs).toISOString().slice(0, 16)}:00Z`, new Date(0))]
    .filter((part) => part !== '')
    .join(', ');
  const given = label.trim() === '' ? proposed : label.trim();
  const told = Object.fromEntries(
    (procedure?.fields ?? []).flatMap(({ id }) => {
      const text = (fields[id] ?? '').trim();
      return text === '' ? [] : [[id, text] as const];
    }),
  );
  const begin = () =>
    asker.ask({
      ...{ type: 'start-job', label: given },
      ...(procedure === undefined ? {} : { procedure: procedure.id, fields: told }),
      ...(machineType === '' ? {} : { machineType }),
    });

  return (
    <section class={connected ? 'job-start' : 'job-start old'} aria-labelledby="start-title">
      <h2 id="start-title">{words.title}</h2>
      <p class="aside">{WORDS.jobs.none}</p>
      {offered.length > 0 && (
        <p class="stacked">
          <label for={`${base}-procedure`}>{words.procedure}</label>
          <select
            id={`${base}-procedure`}
            value={procedure?.id ?? NONE}
            onChange={(event) => setPicked(event.currentTarget.value)}
          >
            {offered.map(({ id, title, version }) => (
              <option key={id} value={id}>
                {title} ({words.version(version)})
              </option>
            ))}
            <option value={NONE}>{words.without}</option>
          </select>
        </p>
      )}
      {procedure !== undefined && (
        <>
          <p class="aside">{procedure.purpose}</p>
          {procedure.result === 'overflow' && <p class="aside">{words.overflow}</p>}
          <Cautions title={WORDS.run.jobCautions} cautions={procedure.cautions} />
        </>
      )}
      <Typed
        id={`${base}-type`}
        words={words.machineType}
        hint={words.machineTypeHint}
        most={120}
        value={typedType ?? lastStart?.machineType ?? ''}
        list={machineTypes}
        onType={setTypedType}
      />
      <Typed
        id={`${base}-label`}
        words={words.label}
        hint={words.labelHint(proposed)}
        most={200}
        value={label}
        onType={setLabel}
      />
      {(procedure?.fields ?? []).map(({ id, words: what, required }) => (
        <Typed
          key={id}
          id={`${base}-${id}`}
          words={required ? `${what} (${words.required})` : what}
          hint=""
          most={500}
          value={fields[id] ?? ''}
          onType={(text) => setFields({ ...fields, [id]: text })}
        />
      ))}
      {lacking.length > 0 && <p class="aside">{words.lacking(lacking.map((field) => field.words).join(', '))}</p>}
      <NameField asker={asker} />
      <LeadButton
        words={words.begin}
        due={connected && lacking.length === 0 && view.asking?.status !== 'sent'}
        disabled={!connected || lacking.length > 0}
        onDo={begin}
      />
      <Answer asker={asker} view={view} idle={offered.length > 0 ? words.kept : ''} />
    </section>
  );
}

interface TypedProps {
  readonly id: string;
  readonly words: string;
  readonly hint: string;
  readonly most: number;
  readonly value: string;
  /** What may be meant. */
  readonly list?: readonly string[];
  readonly onType: (text: string) => void;
}

function Typed({ id, words, hint, most, value, list = [], onType }: TypedProps) {
  return (
    <p class="stacked">
      <label for={id}>{words}</label>
      <input
        id={id}
        maxLength={most}
        autocomplete="off"
        value={value}
        onInput={(event) => onType(event.currentTarget.value)}
        list={list.length > 0 ? `${id}-list` : undefined}
        aria-describedby={hint === '' ? undefined : `${id}-hint`}
      />
      {list.length > 0 && (
        <datalist id={`${id}-list`}>
          {list.map((one) => (
            <option key={one} value={one} />
          ))}
        </datalist>
      )}
      {hint !== '' && (
        <span id={`${id}-hint`} class="hint">
          {hint}
        </span>
      )}
    </p>
  );
}
