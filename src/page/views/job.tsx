/** The job: begun here, led through its steps where it follows a procedure, its readings matched, closed. */

import { ActionPanel } from '../action-panel.tsx';
import type { ViewProps } from '../app.tsx';
import { Answer, type Asker, NameField, useAsker } from '../asker.tsx';
import { AwakeTrouble } from '../awake.tsx';
import { chosen } from '../format.ts';
import { JobRun } from '../job/run.tsx';
import { StartPanel } from '../job/start-panel.tsx';
import { MatchPanel } from '../match-panel.tsx';
import { ReadingPanel } from '../reading-panel.tsx';
import type { View } from '../state.ts';
import { WORDS } from '../words.ts';

export function JobView(props: ViewProps) {
  const { desk, nowUtcMs } = props;
  const { view } = desk;
  const asker = useAsker(desk);
  if (view.progress !== null) return <JobRun {...props} progress={view.progress} asker={asker} />;
  return (
    <div class="columns">
      <div>
        {view.job === null ? (
          <StartPanel view={view} asker={asker} nowUtcMs={nowUtcMs} />
        ) : (
          <JobPanel view={view} job={view.job} asker={asker} />
        )}
        <MatchPanel asker={asker} view={view} />
      </div>
      <div>
        <ReadingPanel view={view} nowUtcMs={nowUtcMs} />
        <ActionPanel asker={asker} view={view} />
      </div>
    </div>
  );
}

interface JobPanelProps {
  readonly view: View;
  readonly job: NonNullable<View['job']>;
  readonly asker: Asker;
}

/** A job without steps. */
function JobPanel({ view, job, asker }: JobPanelProps) {
  const connected = view.link === 'live';
  const words = WORDS.jobs;
  return (
    <section class={connected ? 'job-panel' : 'job-panel old'} aria-labelledby="job-title">
      <h2 id="job-title">{job.label}</h2>
      <p>
        {words.readings(job.readings)}
        {job.referenceC !== null && `, ${words.reference(chosen(job.referenceC, 'Cel'))}`}
      </p>
      <AwakeTrouble />
      <button type="button" disabled={!connected} onClick={() => asker.ask({ type: 'close-job' })}>
        {words.close(job.label)}
      </button>
      <Answer asker={asker} view={view} idle="" />
      <NameField asker={asker} />
    </section>
  );
}
