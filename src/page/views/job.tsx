/** The job: begun and closed here, its readings matched with the target, notes written for the record. */

import { ActionPanel } from '../action-panel.tsx';
import type { ViewProps } from '../app.tsx';
import { Answer, type Asker, NameField, useAsker } from '../asker.tsx';
import { AwakeTrouble } from '../awake.tsx';
import { chosen } from '../format.ts';
import { MatchPanel } from '../match-panel.tsx';
import { ReadingPanel } from '../reading-panel.tsx';
import type { View } from '../state.ts';
import { TextField } from '../text-field.tsx';
import { WORDS } from '../words.ts';

export function JobView({ desk, nowUtcMs }: ViewProps) {
  const { view } = desk;
  const asker = useAsker(desk);
  return (
    <div class="columns">
      <div>
        <JobPanel view={view} asker={asker} />
        <MatchPanel asker={asker} view={view} />
      </div>
      <div>
        <ReadingPanel view={view} nowUtcMs={nowUtcMs} />
        <ActionPanel asker={asker} view={view} />
      </div>
    </div>
  );
}

function JobPanel({ view, asker }: { readonly view: View; readonly asker: Asker }) {
  const { job } = view;
  const connected = view.link === 'live';
  const words = WORDS.jobs;
  return (
    <section class={connected ? 'job-panel' : 'job-panel old'} aria-labelledby="job-title">
      <h2 id="job-title">{job === null ? words.title : job.label}</h2>
      {job === null ? (
        <>
          <p class="none">{words.none}</p>
          <TextField
            label={words.label}
            button={words.begin}
            most={200}
            disabled={!connected}
            onKeep={(label) => asker.ask({ type: 'start-job', label })}
          />
        </>
      ) : (
        <>
          <p>
            {words.readings(job.readings)}
            {job.referenceC !== null && `, ${words.reference(chosen(job.referenceC, 'Cel'))}`}
          </p>
          <AwakeTrouble />
          <button type="button" disabled={!connected} onClick={() => asker.ask({ type: 'close-job' })}>
            {words.close(job.label)}
          </button>
        </>
      )}
      <Answer asker={asker} view={view} idle="" />
      <NameField asker={asker} />
    </section>
  );
}
