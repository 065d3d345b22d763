/** One glance: what to do, temperature and level, how sure; and the one thing to do under the thumb. */
import type { ViewProps } from '../app.tsx';
import { Answer, NameField, useAsker } from '../asker.tsx';
import { Figures } from '../figures.tsx';
import { jobLead } from '../job/lead.ts';
import { LeadPanel } from '../job/lead-panel.tsx';
import { NowAction } from '../job/now-action.tsx';
import { LeadButton } from '../lead-button.tsx';
import { StatePanel } from '../state-panel.tsx';
import { SurePanel } from '../sure-panel.tsx';
import { WORDS } from '../words.ts';

export function NowView({ desk, nowMs, nowUtcMs }: ViewProps) {
  const { view } = desk;
  const asker = useAsker(desk);
  const connected = view.link === 'live';
  const asking = connected && view.asking?.status === 'sent';
  const lead = jobLead(view, nowMs);
  return (
    <div class={lead === null ? 'now' : 'now of-job'}>
      {lead === null ? (
        <StatePanel view={view} nowMs={nowMs} />
      ) : (
        <LeadPanel lead={lead} view={view} nowMs={nowMs} as="h1" />
      )}
      <Figures view={view} nowMs={nowMs} />
      <div class="base">
        <SurePanel view={view} nowUtcMs={nowUtcMs} />
        {view.progress !== null ? (
          <NowAction view={view} asker={asker} progress={view.progress} />
        ) : (
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
        )}
      </div>
    </div>
  );
}
