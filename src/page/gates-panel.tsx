/** Every condition of readiness: open or shut, in words, with its value against its limit. */
import { toGo } from './format.ts';
import type { Gate } from './judge.ts';
import { OldMark } from './old-mark.tsx';
import { Barrier } from './pictogram.tsx';
import { gateFigure, gateWords } from './saying.ts';
import type { View } from './state.ts';
import { gateName, WORDS } from './words.ts';

export function GatesPanel({ view }: { readonly view: View }) {
  const gates = view.live?.gates ?? [];
  return (
    <section class={view.link === 'live' ? 'gates' : 'gates old'} aria-labelledby="gates-title">
      <h2 id="gates-title">
        {WORDS.gates} <OldMark view={view} />
      </h2>
      {gates.length === 0 ? (
        <p class="none">{WORDS.noGates}</p>
      ) : (
        <ul>
          {gates.map((gate) => (
            <Row key={gate.id} gate={gate} view={view} />
          ))}
        </ul>
      )}
    </section>
  );
}

function Row({ gate, view }: { readonly gate: Gate; readonly view: View }) {
  return (
    <li class={gate.open ? 'gate open' : 'gate shut'} data-gate={gate.id}>
      <Barrier open={gate.open} />
      <p class="name">
        {gateName(gate.id)} <span class="mark">{gate.open ? WORDS.gateOpen : WORDS.gateShut}</span>
      </p>
      <p class="words">
        {gateWords(gate, view)}
        {!gate.open && gate.toGo !== null && <span class="to-go"> {toGo(gate.toGo).about}</span>}
      </p>
      <p class="against">
        {gate.value !== null && <span class="value">{gateFigure(gate, gate.value)}</span>}{' '}
        {gate.limit !== null && <span class="limit">{WORDS.limit(gateFigure(gate, gate.limit))}</span>}
      </p>
    </li>
  );
}
