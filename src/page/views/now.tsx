/** One glance: what to do, temperature and level, how sure; and the one thing to do under the thumb. */
import type { ViewProps } from '../app.tsx';
import { Answer, NameField, useAsker } from '../asker.tsx';
import { Figures } from '../figures.tsx';
import { LeadButton } from '../lead-button.tsx';
import { StatePanel } from '../state-panel.tsx';
import { SurePanel } from '../sure-panel.tsx';
import { WORDS } from '../words.ts';

export function NowView({ desk, nowMs, nowUtcMs }: ViewProps) {
  const { view } = desk;
  const asker = useAsker(desk);
  const connected = view.link === 'live';
  const asking = connected && view.asking?.status === 'sent';
  return (
    <div class="now">
      <StatePanel view={view} nowMs={nowMs} />
      <Figures view={view} nowMs={nowMs} />
      <div class="base">
        <SurePanel view={view} nowUtcMs={nowUtcMs} />
        <section class="lead-action">
          <LeadButton
            words={asking ? WORDS.taking : WORDS.take}
            due={connected && view.live?.ready === true && !asking}
            disabled={!connected}
            onDo={() => asker.ask({ type: 'take-reading' })}
          />
          <Answer asker={asker} view={view} idle={view.live?.ready === true ? WORDS.takeKey : WORDS.takeEarly} />
          <NameField asker={asker} />
        </section>
      </div>
    </div>
  );
}
