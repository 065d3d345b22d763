/** Values that a step asks for, one after the other; what was entered may be changed as long as the step stands. */
import { useState } from 'preact/hooks';
import type { Asker } from '../asker.tsx';
import { unitSign } from '../format.ts';
import { LeadButton } from '../lead-button.tsx';
import type { View } from '../state.ts';
import { TextField } from '../text-field.tsx';
import { convert } from '../units.ts';
import { WORDS } from '../words.ts';
import { NumberPad } from './number-pad.tsx';
import type { Ask, Asked, NowStep, QuantityAsked } from './progress.ts';
import { inside, numberIn, quantityWords, UNIT_OF } from './quantity.ts';
import { entryWords } from './saying.ts';

interface Props {
  readonly now: NowStep;
  readonly view: View;
  readonly asker: Asker;
}

export function EnterStep({ now, view, asker }: Props) {
  const [wanted, setWanted] = useState<string | null>(null);
  const open = now.asks.filter(({ entered }) => entered === null);
  const at = now.asks.find(({ name }) => name === wanted) ?? open.find(({ required }) => required) ?? open[0];
  const lacking = open.filter(({ required }) => required);
  const connected = view.link === 'live';
  return (
    <>
      <ol class="asks">
        {now.asks.map((ask) => (
          <li key={ask.name} data-ask={ask.name} class={ask === at ? 'ask at' : 'ask'}>
            <p class="ask-words">
              <span class="ask-title">{ask.words}</span>{' '}
              <span class="ask-value">
                {ask.entered === null
                  ? ask.required
                    ? WORDS.run.enter.notYet
                    : WORDS.run.enter.may
                  : entryWords({ value: ask.entered }, ask)}
              </span>
            </p>
            {ask === at ? (
              <AskField
                ask={ask}
                view={view}
                button={WORDS.run.enter.keep}
                onKeep={(value, override) => {
                  const sent = asker.ask({ type: 'enter', name: ask.name, value, ...override });
                  if (sent) setWanted(null);
                  return sent;
                }}
              />
            ) : (
              <button type="button" class="quiet" disabled={!connected} onClick={() => setWanted(ask.name)}>
                {ask.entered === null ? WORDS.run.enter.open : WORDS.run.enter.change}
                <span class="for-ears"> {ask.words}</span>
              </button>
            )}
          </li>
        ))}
      </ol>
      {lacking.length === 0 && (
        <LeadButton
          words={WORDS.run.enter.goOn}
          due={connected && now.blocked.length === 0 && view.asking?.status !== 'sent'}
          disabled={!connected || now.blocked.length > 0}
          onDo={() => asker.ask({ type: 'confirm', step: now.step, ticks: [] })}
        />
      )}
    </>
  );
}

type Override = { readonly override?: string };

interface FieldProps {
  readonly ask: Ask | Asked;
  readonly view: View;
  readonly button: string;
  readonly onKeep: (value: number | string, override: Override) => boolean;
}

/** One value; where it should be the same as another and is not, the reason why it is right all the same. */
export function AskField({ ask, view, button, onKeep }: FieldProps) {
  const [sent, setSent] = useState<number | string | null>(null);
  const connected = view.link === 'live';
  const keep = (value: number | string) => {
    setSent(value);
    return onKeep(value, {});
  };
  const { asking, progress } = view;
  const mismatch = sent !== null && asking?.type === 'enter' && asking.refusal === 'mismatch';
  const same = ask.of === 'text' ? ask.sameAs : null;
  const expected = same === null ? undefined : progress?.entries.findLast(({ name }) => name === same);
  return (
    <div class="ask-field">
      {expected !== undefined && <p class="aside">{WORDS.run.enter.same(String(expected.value))}</p>}
      {ask.of === 'choice' && (
        <div class="choices">
          {ask.choices.map((choice) => (
            <button key={choice} type="button" disabled={!connected} onClick={() => keep(choice)}>
              {choice}
            </button>
          ))}
        </div>
      )}
      {ask.of === 'text' && (
        <TextField label={ask.words} button={button} most={500} disabled={!connected} onKeep={keep} />
      )}
      {ask.of === 'quantity' && <QuantityField asked={ask} button={button} disabled={!connected} onKeep={keep} />}
      {mismatch && (
        <TextField
          label={WORDS.run.enter.mismatch}
          button={WORDS.run.enter.keepMismatch}
          most={500}
          disabled={!connected}
          onKeep={(override) => onKeep(sent, { override })}
        />
      )}
    </div>
  );
}

interface QuantityProps {
  readonly asked: QuantityAsked;
  readonly button: string;
  readonly disabled: boolean;
  readonly onKeep: (value: number) => boolean;
}

function QuantityField({ asked, button, disabled, onKeep }: QuantityProps) {
  const { quantity, low, high, words } = asked;
  const ucum = UNIT_OF[quantity];
  const [text, setText] = useState('');
  const shown = numberIn(text);
  const value = shown === null ? null : inside(shown, ucum);
  const limits = [quantityWords(low, quantity), quantityWords(high, quantity)] as const;
  // What was typed at the very limit, in another unit, is not outside by the dust of the conversion.
  const dust = 1e-6 * Math.max(1, Math.abs(low), Math.abs(high));
  const wrong = value !== null && (value < low - dust || value > high + dust);
  const field = {
    ...{ id: 'value', label: words, sign: unitSign(ucum), text, wrong, signed: convert(low, ucum) < 0 },
    hint: wrong ? WORDS.run.keys.outside(...limits) : WORDS.run.enter.range(...limits),
  };
  return (
    <NumberPad
      fields={[field]}
      onChange={(_, next) => setText(next)}
      button={value === null || wrong ? button : `${button}: ${quantityWords(value, quantity)}`}
      disabled={disabled}
      onKeep={() => {
        if (value !== null && !wrong && onKeep(Math.min(high, Math.max(low, value)))) setText('');
      }}
    />
  );
}
