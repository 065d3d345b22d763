/** The page: what must not be overlooked, where one is, and the view that is chosen. */
import { useEffect, useState } from 'preact/hooks';
import { AlarmPanel } from './alarm-panel.tsx';
import type { Desk } from './desk.ts';
import { announcement } from './judge.ts';
import { MissedPanel } from './missed-panel.tsx';
import { Navigation } from './navigation.tsx';
import { Notices } from './notices.tsx';
import { useRoute, type ViewName } from './route.ts';
import { onSettings } from './settings.ts';
import { StateStrip } from './state-strip.tsx';
import { InstrumentsView } from './views/instruments.tsx';
import { JobView } from './views/job.tsx';
import { NowView } from './views/now.tsx';
import { RecordsView } from './views/records.tsx';
import { ScreenView } from './views/screen.tsx';
import { SignalsView } from './views/signals.tsx';
import { WORDS } from './words.ts';

/** Ages go on while nothing is heard: the page is drawn again at least this often. */
const TICK_MS = 500;

export interface ViewProps {
  readonly desk: Desk;
  readonly nowMs: number;
  /** The bench's wall clock, carried on by ours: a tablet with a wrong clock still says the right "ago". */
  readonly nowUtcMs: number;
}

const SHOWN: Readonly<Record<ViewName, (props: ViewProps) => preact.JSX.Element>> = {
  now: NowView,
  job: JobView,
  signals: SignalsView,
  records: RecordsView,
  instruments: InstrumentsView,
  screen: ScreenView,
};

export function App({ desk }: { readonly desk: Desk }) {
  const [, again] = useState(0);
  const at = useRoute();
  useEffect(() => {
    const redraw = () => again((n) => n + 1);
    const timer = setInterval(redraw, TICK_MS);
    const unsubscribe = desk.subscribe(redraw);
    const unsettled = onSettings(redraw);
    return () => {
      clearInterval(timer);
      unsubscribe();
      unsettled();
    };
  }, [desk]);

  const { view } = desk;
  const nowMs = desk.nowMs();
  const sinceMs = view.heardAtMs === null ? 0 : nowMs - view.heardAtMs;
  const nowUtcMs = view.live === null ? Date.now() : Date.parse(view.live.utc) + sinceMs;
  const Shown = SHOWN[at];
  return (
    <div class={`page ${view.link}`}>
      <div class="above">
        <Notices view={view} />
        <AlarmPanel desk={desk} view={view} nowMs={nowMs} nowUtcMs={nowUtcMs} />
        <MissedPanel desk={desk} nowMs={nowMs} />
      </div>
      <header>
        <p class="bench">{view.bench?.name ?? view.hello?.bench ?? WORDS.product}</p>
        {view.job !== null && <p class="job">{WORDS.job(view.job.label, view.job.readings)}</p>}
      </header>
      <Navigation at={at} />
      <p class="for-ears" role="status" aria-live="polite">
        {announcement(view)}
      </p>
      <main data-view={at}>
        {at !== 'now' && (
          <>
            <h1 class="for-ears">{WORDS.views[at]}</h1>
            {(at !== 'job' || view.progress === null) && <StateStrip view={view} nowMs={nowMs} />}
          </>
        )}
        <Shown desk={desk} nowMs={nowMs} nowUtcMs={nowUtcMs} />
      </main>
      <footer>
        <h2>{WORDS.cautionTitle}</h2>
        <p>{WORDS.caution}</p>
      </footer>
    </div>
  );
}
