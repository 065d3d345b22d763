/** How each instrument does, what was thrown away and why, and what else went wrong. */
import type { Live } from '../feed/messages.ts';
import { ago, count } from './format.ts';
import { OldMark } from './old-mark.tsx';
import { Plug } from './pictogram.tsx';
import { linkWords } from './saying.ts';
import type { View } from './state.ts';
import { discardWords, WORDS } from './words.ts';

type Health = Live['instruments'][string];

export function HealthPanel({ view, nowMs }: { readonly view: View; readonly nowMs: number }) {
  const sinceS = view.heardAtMs === null ? 0 : Math.max(0, (nowMs - view.heardAtMs) / 1000);
  const instruments = Object.entries(view.live?.instruments ?? {});
  return (
    <section class={view.link === 'live' ? 'health' : 'health old'} aria-labelledby="health-title">
      <h2 id="health-title">
        {WORDS.instruments} <OldMark view={view} />
      </h2>
      {instruments.length === 0 && <p class="none">{WORDS.neverHeard}</p>}
      <ul>
        {instruments.map(([name, health]) => (
          <Row key={name} name={name} health={health} sinceS={sinceS} />
        ))}
      </ul>
    </section>
  );
}

function Row({ name, health, sinceS }: { readonly name: string; readonly health: Health; readonly sinceS: number }) {
  const discarded = Object.entries(health.discarded).filter(([, n]) => n !== undefined && n > 0);
  const heard = health.silentS === null ? WORDS.neverHeard : WORDS.lastHeard(ago(health.silentS + sinceS));
  return (
    <li class={`instrument ${health.state}`} data-instrument={name}>
      <Plug state={health.state} />
      <p class="name">
        {name} <span class="mark">{WORDS.linkStates[health.state] ?? health.state}</span>
      </p>
      {(health.state !== 'open' || health.floods) && <p class="words">{linkWords(health)}</p>}
      <p class="words">
        {heard}, {WORDS.frames(count(health.frames))}, {WORDS.connections(health.connection)}
      </p>
      {discarded.length === 0 ? (
        <p class="words">{WORDS.discardNothing}</p>
      ) : (
        <div class="discarded">
          <p class="words">{WORDS.discarded}</p>
          <ul>
            {discarded.map(([reason, n]) => (
              <li key={reason}>{WORDS.times(count(n ?? 0), discardWords(reason))}</li>
            ))}
          </ul>
        </div>
      )}
    </li>
  );
}
