/** A job with steps: what to do now large, its keys beneath, and beside them the way, the amounts and the last reading. */
import type { ViewProps } from '../app.tsx';
import type { Asker } from '../asker.tsx';
import { Figures } from '../figures.tsx';
import { MatchPanel } from '../match-panel.tsx';
import { ReadingPanel } from '../reading-panel.tsx';
import { StatePanel } from '../state-panel.tsx';
import { WORDS } from '../words.ts';
import { AccountPanel } from './account-panel.tsx';
import { JobActs, Paused, SignPanel } from './job-acts.tsx';
import { jobLead } from './lead.ts';
import { LeadPanel } from './lead-panel.tsx';
import type { JobProgress } from './progress.ts';
import { Cautions, StepPanel } from './step-panel.tsx';
import { StepsPanel } from './steps-panel.tsx';
import { ToldPanel } from './told-panel.tsx';

interface Props extends ViewProps {
  readonly progress: JobProgress;
  readonly asker: Asker;
}

export function JobRun({ desk, nowMs, nowUtcMs, progress, asker }: Props) {
  const { view } = desk;
  const lead = jobLead(view, nowMs);
  const { now } = progress;
  return (
    <div class="job-run">
      <div class="job-head">
        {lead === null ? (
          <StatePanel view={view} nowMs={nowMs} />
        ) : (
          <LeadPanel lead={lead} view={view} nowMs={nowMs} as="p" />
        )}
        <Figures view={view} nowMs={nowMs} />
      </div>
      <div class="job-columns">
        <div class="job-main">
          {progress.paused && <Paused view={view} asker={asker} />}
          {now === null ? (
            <SignPanel view={view} asker={asker} />
          ) : (
            <StepPanel {...{ now, progress, view, asker, nowMs }} titled={lead?.rest === now.title} />
          )}
        </div>
        <div class="job-beside">
          <StepsPanel desk={desk} progress={progress} asker={asker} nowUtcMs={nowUtcMs} />
          <details class="job-cautions">
            <summary>{WORDS.run.jobCautions}</summary>
            <Cautions title={progress.title} cautions={progress.cautions} />
          </details>
          <AccountPanel progress={progress} />
          <ToldPanel progress={progress} view={view} asker={asker} />
          <MatchPanel asker={asker} view={view} />
          <ReadingPanel view={view} nowUtcMs={nowUtcMs} />
          <JobActs progress={progress} view={view} asker={asker} />
        </div>
      </div>
    </div>
  );
}
