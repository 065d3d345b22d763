/** The large state, to be read from three metres: what to do, how long still, and why. */
import type { Live } from '../feed/messages.ts';
import { measured, span, timeOfDay, toGo } from './format.ts';
import { face, type Gate, shutGates, takenInSpell } from './judge.ts';
import { TimeRuler, Well } from './pictogram.tsx';
import { rulerEnd } from './ruler.ts';
import { gateShort, gateWords } from './saying.ts';
import type { View } from './state.ts';
import { gateName, WORDS } from './words.ts';

/** Longer words get smaller letters. */
const LETTERS = 5;

export function StatePanel({ view, nowMs }: { readonly view: View; readonly nowMs: number }) {
  const shown = face(view);
  const { word, rest } = WORDS.state[shown];
  const first = shown === 'wait' && view.live !== null ? shutGates(view.live)[0] : undefined;
  return (
    <section class={`state ${shown}`} data-state={shown} aria-labelledby="state-word">
      <div class="headline">
        <Well face={shown} />
        <h1 id="state-word">
          <span class={word.length > LETTERS ? 'word long' : 'word'}>{word}</span>{' '}
          <span class="rest">{first === undefined ? rest : gateShort(first)}</span>
        </h1>
      </div>
      {reason(view, nowMs)}
    </section>
  );
}

function reason(view: View, nowMs: number) {
  const shown = face(view);
  if (shown === 'lost' || view.live === null) {
    const since = view.heardAtMs ?? view.linkAtMs;
    const gone = <p class="more">{WORDS.lostFor(span((nowMs - since) / 1000))}</p>;
    return shown === 'connecting' ? (
      <div class="why">
        <p class="words">{WORDS.connectingHint}</p>
      </div>
    ) : (
      <div class="why">
        <p class="words">{WORDS.lostWarning}</p>
        {gone}
        {view.live !== null && <p class="more">{WORDS.lostSince(timeOfDay(view.live.utc, new Date()))}</p>}
      </div>
    );
  }
  if (shown === 'connecting')
    return (
      <div class="why">
        <p class="words">{WORDS.lostWarning}</p>
        <p class="more">{WORDS.lostSince(timeOfDay(view.live.utc, new Date()))}</p>
      </div>
    );
  if (shown === 'ready') return <ReadyNow view={view} live={view.live} />;
  return <Waiting view={view} live={view.live} />;
}

/** What a technician waits for: that it may be read, or what was just read. */
function ReadyNow({ view, live }: { readonly view: View; readonly live: Live }) {
  const taken = takenInSpell(view);
  const since = view.spells.at(-1)?.fromMs ?? Date.parse(live.utc);
  const forS = (Date.parse(live.utc) - since) / 1000;
  const forNow = <p class="more">{forS < 2 ? WORDS.allOpen : WORDS.readyFor(span(forS))}</p>;
  if (taken === null)
    return (
      <div class="why">
        <p class="words">{WORDS.readNow}</p>
        {forNow}
      </div>
    );
  const { value, U } = measured(taken.levelMm, taken.U95Mm, 'mm');
  return (
    <>
      <p class="lead">
        <span class="huge value">{value}</span> <span class="after">±{U}</span>
      </p>
      <div class="why">
        <p class="words">{WORDS.readingTaken(taken.id)}</p>
        {forNow}
      </div>
    </>
  );
}

function Waiting({ view, live }: { readonly view: View; readonly live: Live }) {
  const [first, ...others] = shutGates(live);
  if (first === undefined)
    return (
      <div class="why">
        <p class="words">{WORDS.noGates}</p>
      </div>
    );
  return (
    <>
      <Countdown gate={first} />
      <div class="why">
        <p class="words">{gateWords(first, view)}</p>
        {first.toGo === null ? <p class="more">{WORDS.noForecast}</p> : <Ruler toGo={first.toGo} />}
        {others.length > 0 && (
          <p class="more">
            {WORDS.alsoShut}: {others.map((g) => gateName(g.id)).join(', ')}
          </p>
        )}
      </div>
    </>
  );
}

function Countdown({ gate }: { readonly gate: Gate }) {
  if (gate.toGo === null) return null;
  const { between, clock } = toGo(gate.toGo);
  if (clock === '')
    return (
      <p class="lead countdown">
        <span class="after">{WORDS.toGo.now}</span>
      </p>
    );
  return (
    <p class="lead countdown">
      <span class="before">{WORDS.toGo.before}</span> <span class="huge">{clock}</span>{' '}
      <span class="after">{WORDS.toGo.after}</span> {between !== '' && <span class="between">{between}</span>}
    </p>
  );
}

function Ruler({ toGo }: { readonly toGo: NonNullable<Gate['toGo']> }) {
  return (
    <div class="ruled" aria-hidden="true">
      <TimeRuler {...toGo} />
      <p class="ends">
        <span>{WORDS.toGo.rulerStart}</span>
        <span>{WORDS.toGo.rulerEnd(span(rulerEnd(toGo.s, toGo.highS)))}</span>
      </p>
    </div>
  );
}
