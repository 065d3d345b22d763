/** The page from top to bottom. */
import { useEffect, useState } from 'preact/hooks';
import { ActionPanel } from './action-panel.tsx';
import { AlarmPanel } from './alarm-panel.tsx';
import { Charts } from './charts.tsx';
import type { Desk } from './desk.ts';
import { Figures } from './figures.tsx';
import { GatesPanel } from './gates-panel.tsx';
import { HealthPanel } from './health-panel.tsx';
import { MatchPanel } from './match-panel.tsx';
import { ReadingPanel } from './reading-panel.tsx';
import type { View } from './state.ts';
import { StatePanel } from './state-panel.tsx';
import { WORDS } from './words.ts';

/** Ages go on while nothing is heard: the page is drawn again at least this often. */
const TICK_MS = 500;

export function App({ desk }: { readonly desk: Desk }) {
  const [, again] = useState(0);
  useEffect(() => {
    const redraw = () => again((n) => n + 1);
    const timer = setInterval(redraw, TICK_MS);
    const unsubscribe = desk.subscribe(redraw);
    return () => {
      clearInterval(timer);
      unsubscribe();
    };
  }, [desk]);

  const { view } = desk;
  const nowMs = desk.nowMs();
  // The bench's wall clock, carried on by ours: a tablet with a wrong clock still says the right "ago".
  const sinceMs = view.heardAtMs === null ? 0 : nowMs - view.heardAtMs;
  const nowUtcMs = view.live === null ? Date.now() : Date.parse(view.live.utc) + sinceMs;
  return (
    <div class={`page ${view.link}`}>
      <header>
        <p class="bench">{view.bench?.name ?? view.hello?.bench ?? WORDS.product}</p>
        {view.job !== null && <p class="job">{WORDS.job(view.job.label, view.job.readings)}</p>}
        <p class="product">{WORDS.product}</p>
      </header>
      <main>
        <div class="top">
          <StatePanel view={view} nowMs={nowMs} />
          <Notices view={view} />
          <AlarmPanel desk={desk} view={view} nowMs={nowMs} nowUtcMs={nowUtcMs} />
        </div>
        <div class="measuring">
          <Figures view={view} nowMs={nowMs} />
          <Charts desk={desk} view={view} />
          <GatesPanel view={view} />
        </div>
        <div class="keeping">
          <div class="record">
            <ReadingPanel view={view} nowUtcMs={nowUtcMs} />
            <MatchPanel desk={desk} view={view} />
            <ActionPanel desk={desk} view={view} />
          </div>
          <HealthPanel view={view} nowMs={nowMs} />
        </div>
      </main>
      <footer>
        <h2>{WORDS.cautionTitle}</h2>
        <p>{WORDS.caution}</p>
      </footer>
    </div>
  );
}

function notRecording({ live }: View): readonly string[] {
  if (live === null || live.recording) return [];
  const flooding = Object.entries(live.instruments).flatMap(([name, { floods }]) => (floods ? [name] : []));
  return flooding.length === 0 ? [WORDS.notRecording] : flooding.map(WORDS.flooded);
}

/** What must not be overlooked, above everything but the state. */
function Notices({ view }: { readonly view: View }) {
  const lines = [...notRecording(view), ...(view.otherVersion ? [WORDS.otherVersion] : [])];
  if (lines.length === 0) return null;
  return (
    <div class="notices" role="alert">
      {lines.map((line) => (
        <p key={line}>{line}</p>
      ))}
    </div>
  );
}
