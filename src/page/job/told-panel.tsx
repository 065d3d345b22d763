/** What was entered and measured in this job. A tap corrects it by a new entry; the old one stays, struck through. */
import { useState } from 'preact/hooks';
import type { Asker } from '../asker.tsx';
import type { View } from '../state.ts';
import { WORDS } from '../words.ts';
import { AmountForm, Pick } from './dose-step.tsx';
import { AskField } from './enter-step.tsx';
import { type AmountAsked, type Entry, type JobProgress, type Made, replaced } from './progress.ts';
import { entryWords, madeWords } from './saying.ts';

interface Props {
  readonly progress: JobProgress;
  readonly view: View;
  readonly asker: Asker;
}

export function ToldPanel({ progress, view, asker }: Props) {
  const [correcting, setCorrecting] = useState<number | null>(null);
  const words = WORDS.run.told;
  const connected = view.link === 'live' && !progress.paused;
  const toggle = (event: number) => setCorrecting(correcting === event ? null : event);
  const close = (sent: boolean) => {
    if (sent) setCorrecting(null);
    return sent;
  };
  const oldEntries = replaced(progress.entries);
  const oldAmounts = replaced(progress.told);
  const askedOf = ({ name }: Entry) => progress.asked.find((asked) => asked.name === name);
  return (
    <section class="told-panel" aria-labelledby="amounts-title">
      <h2 id="amounts-title">{words.amounts}</h2>
      {progress.told.length === 0 && <p class="none">{words.none}</p>}
      <ul>
        {progress.told.map((made) => (
          <Line
            key={made.event}
            event={made.event}
            said={madeWords(made, view)}
            who={made.actor}
            old={oldAmounts.has(made.event)}
            open={correcting === made.event}
            disabled={!connected}
            onToggle={() => toggle(made.event)}
          >
            <CorrectAmount made={made} view={view} onKeep={(body) => close(asker.ask(body))} />
          </Line>
        ))}
      </ul>
      <Lost asker={asker} view={view} disabled={!connected} />
      <h2>{words.entries}</h2>
      {progress.entries.length === 0 && <p class="none">{words.none}</p>}
      <ul>
        {progress.entries.map((entry) => {
          const asked = askedOf(entry);
          const although = entry.override === null ? '' : ` (${words.instead(entry.override)})`;
          return (
            <Line
              key={entry.event}
              event={entry.event}
              said={`${asked?.words ?? entry.name}: ${entryWords(entry, asked)}${although}`}
              who={entry.actor}
              old={oldEntries.has(entry.event)}
              open={correcting === entry.event}
              disabled={!connected || asked === undefined}
              onToggle={() => toggle(entry.event)}
            >
              {asked !== undefined && (
                <AskField
                  ask={asked}
                  view={view}
                  button={words.keep}
                  onKeep={(value, override) => {
                    const { name, event } = entry;
                    const sent = asker.ask({ type: 'enter', name, value, corrects: event, ...override });
                    // One that must say the same as another may be refused: it stays open for the reason.
                    return asked.of === 'text' && asked.sameAs !== null && override.override === undefined
                      ? sent
                      : close(sent);
                  }}
                />
              )}
            </Line>
          );
        })}
      </ul>
    </section>
  );
}

interface LineProps {
  readonly event: number;
  readonly said: string;
  readonly who: string;
  readonly old: boolean;
  readonly open: boolean;
  readonly disabled: boolean;
  readonly onToggle: () => void;
  readonly children: preact.ComponentChildren;
}

function Line({ event, said, who, old, open, disabled, onToggle, children }: LineProps) {
  if (old)
    return (
      <li data-told={event} class="replaced">
        <s>{said}</s> <span class="how">{who}</span>
      </li>
    );
  return (
    <li data-told={event}>
      <button type="button" class="told-line" aria-expanded={open} disabled={disabled} onClick={onToggle}>
        <span class="for-ears">{WORDS.run.told.correct} </span>
        <span>{said}</span> <span class="how">{who}</span>
      </button>
      {open && (
        <div class="correcting">
          {children}
          <button type="button" class="quiet" onClick={onToggle}>
            {WORDS.run.told.cancel}
          </button>
        </div>
      )}
    </li>
  );
}

interface CorrectProps {
  readonly made: Made;
  readonly view: View;
  readonly onKeep: (body: AmountAsked) => boolean;
}

function CorrectAmount({ made, view, onKeep }: CorrectProps) {
  const { kind, measure, unit, amount, tC, event } = made;
  const step = view.progress?.measures.find(({ id }) => id === measure)?.step ?? 0.01;
  return (
    <AmountForm
      measure={{ unit, step }}
      proposed={amount}
      proposedC={tC}
      hint={WORDS.run.told.takeBack}
      button={WORDS.run.told.keep}
      disabled={view.link !== 'live'}
      zero={true}
      onKeep={(size, warmC) =>
        onKeep({ type: 'record-amount', kind, amount: size, measure, tC: warmC, corrects: event })
      }
    />
  );
}

/** Fluid that counts in the balance although nobody meant to move it. Told by hand, in litres. */
function Lost({ asker, view, disabled }: Omit<Props, 'progress'> & { readonly disabled: boolean }) {
  const [kind, setKind] = useState<'spilled' | 'left'>('spilled');
  const [round, setRound] = useState(0);
  const { kinds, lost, keepLost } = WORDS.run.told;
  return (
    <details class="lost">
      <summary>{lost}</summary>
      <Pick
        title={WORDS.run.dose.way}
        names={{ spilled: kinds.spilled, left: kinds.left }}
        chosen={kind}
        onChoose={(id) => setKind(id === 'left' ? 'left' : 'spilled')}
      />
      <AmountForm
        key={round}
        measure={{ unit: 'L', step: 0.01 }}
        proposed={null}
        proposedC={view.live?.temperatureC ?? null}
        hint={WORDS.run.told.hand}
        button={keepLost}
        disabled={disabled}
        onKeep={(amount, tC) => {
          const sent = asker.ask({ type: 'record-amount', kind, amount, measure: 'hand', tC });
          if (sent) setRound(round + 1);
          return sent;
        }}
      />
    </details>
  );
}
