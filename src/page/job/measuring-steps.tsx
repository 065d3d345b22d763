/** Steps at which the bench measures: wait, read, check the zero, decide. And questions that a person answers. */
import { useState } from 'preact/hooks';
import type { Asker } from '../asker.tsx';
import { keep, kept } from '../browser.ts';
import { amount, toGo, unitSign } from '../format.ts';
import { freshness } from '../judge.ts';
import { LeadButton } from '../lead-button.tsx';
import { Barrier } from '../pictogram.tsx';
import { gateWords } from '../saying.ts';
import type { View } from '../state.ts';
import { TextField } from '../text-field.tsx';
import { gateName, WORDS } from '../words.ts';
import { gatesOf } from './lead.ts';
import { NumberPad } from './number-pad.tsx';
import type { NowStep } from './progress.ts';
import { inside, numberIn, typed } from './quantity.ts';

interface Props {
  readonly now: NowStep;
  readonly view: View;
  readonly asker: Asker;
}

/** What is waited for, gate by gate. */
export function WaitStep({ now, view }: Omit<Props, 'asker'>) {
  const shut = gatesOf(view, now);
  const shutIds = new Set(shut.map(({ id }) => id));
  const all = view.live?.gates ?? [];
  const waited = now.gates.length === 0 ? all : all.filter(({ id }) => now.gates.includes(id));
  return (
    <>
      <p class="aside">{now.gates.length === 0 ? WORDS.run.wait.all : WORDS.run.wait.passes}</p>
      <ul class="waited">
        {[...shut, ...waited.filter(({ id }) => !shutIds.has(id))].map((gate) => (
          <li key={gate.id} class={gate.open ? 'waited-gate open' : 'waited-gate shut'}>
            <Barrier open={gate.open} />
            <span>
              <strong>{gateName(gate.id)}</strong> {gate.open ? WORDS.run.wait.open : gateWords(gate, view)}{' '}
              {!gate.open && gate.toGo !== null && <span class="to-go">{toGo(gate.toGo).about}</span>}
            </span>
          </li>
        ))}
      </ul>
    </>
  );
}

export function ReadStep({ view, asker }: Omit<Props, 'now'>) {
  return (
    <>
      <p class="aside">{WORDS.run.read.byItself}</p>
      <ReadButton view={view} asker={asker} words={WORDS.run.read.now} />
    </>
  );
}

function ReadButton({ view, asker, words }: Omit<Props, 'now'> & { readonly words: string }) {
  const connected = view.link === 'live';
  const asking = connected && view.asking?.status === 'sent';
  return (
    <LeadButton
      words={asking ? WORDS.taking : words}
      due={connected && view.live?.ready === true && !asking}
      disabled={!connected}
      onDo={() => asker.ask({ type: 'take-reading' })}
    />
  );
}

/** The block that this device was last told of, mm. */
const BLOCK = 'blockMm';

export function ZeroStep({ view, asker, nowMs }: Omit<Props, 'now'> & { readonly nowMs: number }) {
  const channel = view.bench?.levelChannel ?? '';
  const shows = view.live?.channels[channel];
  const fresh = !freshness(view, channel, nowMs).old;
  const [text, setText] = useState(() => {
    const block = kept(BLOCK);
    return typeof block === 'number' ? typed(block, 'mm', unitSign('mm') === 'mm' ? 1 : 3) : '';
  });
  const shown = numberIn(text);
  const words = WORDS.run.zero;
  const field = {
    ...{ id: 'expected', label: words.expected, sign: unitSign('mm'), text, wrong: false, signed: false },
    hint: words.shows(shows === undefined || !fresh ? WORDS.nothing : amount(shows.value, 2, 'mm')),
  };
  return (
    <NumberPad
      fields={[field]}
      onChange={(_, next) => setText(next)}
      button={words.check}
      disabled={view.link !== 'live'}
      onKeep={() => {
        if (shown === null) return;
        const expectedMm = inside(shown, 'mm');
        if (asker.ask({ type: 'check-zero', expectedMm })) keep(BLOCK, expectedMm);
      }}
    />
  );
}

/** What cannot be settled is accepted by a person with a reason, or read again. The verdict itself stands beside. */
export function DecideStep({ view, asker }: Omit<Props, 'now'>) {
  const { verdict } = view;
  const open = verdict !== null && verdict.result === 'undecided' && verdict.accepted === null;
  return (
    <>
      {verdict === null && <p>{WORDS.run.decide.none}</p>}
      {open && (
        <TextField
          label={WORDS.run.decide.accept}
          button={WORDS.acceptKeep}
          most={500}
          disabled={view.link !== 'live'}
          onKeep={(reason) => asker.ask({ type: 'accept', reason })}
        />
      )}
      <ReadButton view={view} asker={asker} words={WORDS.run.read.again} />
    </>
  );
}

export function AskStep({ now, view, asker }: Props) {
  const connected = view.link === 'live';
  return (
    <div class="answers">
      {now.answers.map(({ id, words }) => (
        <button
          key={id}
          type="button"
          data-answer={id}
          disabled={!connected || now.blocked.length > 0}
          onClick={() => asker.ask({ type: 'answer', step: now.step, answer: id })}
        >
          {words}
        </button>
      ))}
    </div>
  );
}
