/** The large state, to be read from three metres: one word, why, and how long still. */
import type { Live } from '../feed/messages.ts';
import { amount, span, toGo, uncertainty } from './format.ts';
import { announcement, face, type Gate, shutGates } from './judge.ts';
import { TimeRuler, Well } from './pictogram.tsx';
import { rulerEnd } from './ruler.ts';
import type { View } from './state.ts';
import { gateName, WORDS } from './words.ts';

export function StatePanel({ view, nowMs }: { readonly view: View; readonly nowMs: number }) {
  const shown = face(view);
  const { word, rest } = WORDS.state[shown];
  return (
    <section class={`state ${shown}`} data-state={shown} aria-labelledby="state-word">
      <div class="headline">
        <Well face={shown} />
        <h1 id="state-word">
          <span class="word">{word}</span> <span class="rest">{rest}</span>
        </h1>
      </div>
      <div class="why">{reason(view, nowMs)}</div>
      <p class="for-ears" role="status" aria-live="polite">
        {announcement(view)}
      </p>
    </section>
  );
}

function reason(view: View, nowMs: number) {
  const shown = face(view);
  if (shown === 'connecting') return <p class="words">{WORDS.connectingHint}</p>;
  if (shown === 'lost' || view.live === null) {
    const since = view.heardAtMs ?? view.linkAtMs;
    return (
      <>
        <p class="words">{WORDS.lostWarning}</p>
        <p class="more">{WORDS.lostFor(span((nowMs - since) / 1000))}</p>
      </>
    );
  }
  if (shown === 'ready') return <ReadyNow view={view} live={view.live} />;
  const [first, ...others] = shutGates(view.live);
  if (first === undefined) return <p class="words">{WORDS.noGates}</p>;
  return (
    <>
      <p class="words">{first.words}</p>
      <Countdown gate={first} />
      {others.length > 0 && (
        <p class="more">
          {WORDS.alsoShut}: {others.map((g) => gateName(g.id).toLowerCase()).join(', ')}
        </p>
      )}
    </>
  );
}

/** What a technician waits for: that it may be read, or what was just read. */
function ReadyNow({ view, live }: { readonly view: View; readonly live: Live }) {
  const since = view.spells.at(-1)?.fromMs ?? Date.parse(live.utc);
  const { lastReading } = view;
  const taken = lastReading !== null && Date.parse(lastReading.utc) >= since ? lastReading.reading : null;
  const forS = (Date.parse(live.utc) - since) / 1000;
  const forNow = <p class="more">{forS < 2 ? WORDS.allOpen : WORDS.readyFor(span(forS))}</p>;
  if (taken === null)
    return (
      <>
        <p class="words">{WORDS.readNow}</p>
        {forNow}
      </>
    );
  const { decimals, text } = uncertainty(taken.U95Mm);
  return (
    <>
      <p class="words">{WORDS.readingTaken(taken.id)}</p>
      <div class="countdown">
        <p>
          <span class="about">{amount(taken.levelMm, decimals, 'mm')}</span>{' '}
          <span class="between">±{amount(Number(text), decimals, 'mm')}</span>
        </p>
      </div>
      {forNow}
    </>
  );
}

function Countdown({ gate }: { readonly gate: Gate }) {
  if (gate.toGo === null) return <p class="more">{WORDS.noForecast}</p>;
  const { about, between } = toGo(gate.toGo);
  return (
    <div class="countdown">
      <p>
        <span class="about">{about}</span> {between !== '' && <span class="between">{between}</span>}
      </p>
      <TimeRuler {...gate.toGo} />
      <p class="ends" aria-hidden="true">
        <span>{WORDS.toGo.rulerStart}</span>
        <span>{WORDS.toGo.rulerEnd(span(rulerEnd(gate.toGo.s, gate.toGo.highS)))}</span>
      </p>
    </div>
  );
}
