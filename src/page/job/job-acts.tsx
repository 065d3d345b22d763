/** What may be done with a job at any step: engine, pause, and the end. */
import { Answer, type Asker, NameField } from '../asker.tsx';
import { AwakeTrouble } from '../awake.tsx';
import { LeadButton } from '../lead-button.tsx';
import type { View } from '../state.ts';
import { TextField } from '../text-field.tsx';
import { WORDS } from '../words.ts';
import type { JobProgress } from './progress.ts';

interface Props {
  readonly progress: JobProgress;
  readonly view: View;
  readonly asker: Asker;
}

export function JobActs({ progress, view, asker }: Props) {
  const { engine, paused, now } = progress;
  const connected = view.link === 'live';
  const words = WORDS.run;
  return (
    <section class="job-acts" aria-labelledby="engine-title">
      <h2 id="engine-title">{engine === null ? words.engine.unknown : words.engine[engine]}</h2>
      <p class="buttons">
        {engine !== 'running' && (
          <button
            type="button"
            disabled={!connected || paused}
            onClick={() => asker.ask({ type: 'engine', running: true })}
          >
            {words.engine.start}
          </button>
        )}
        {engine !== 'stopped' && (
          <button
            type="button"
            disabled={!connected || paused}
            onClick={() => asker.ask({ type: 'engine', running: false })}
          >
            {words.engine.stop}
          </button>
        )}
      </p>
      <AwakeTrouble />
      {!paused && (
        <details class="pause">
          <summary>{words.pause.open}</summary>
          <TextField
            label={words.pause.reason}
            button={words.pause.keep}
            most={500}
            disabled={!connected}
            onKeep={(reason) => asker.ask({ type: 'pause-job', reason })}
          />
        </details>
      )}
      {now !== null && (
        <details class="unfinished">
          <summary>{words.close.open}</summary>
          <p class="aside">{words.close.as}</p>
          <TextField
            label={words.close.reason}
            button={words.close.keep}
            most={500}
            disabled={!connected}
            onKeep={(unfinished) => asker.ask({ type: 'close-job', unfinished })}
          />
        </details>
      )}
    </section>
  );
}

/** A job that is paused goes on from here. */
export function Paused({ view, asker }: Omit<Props, 'progress'>) {
  const connected = view.link === 'live';
  return (
    <LeadButton
      words={WORDS.run.pause.resume}
      due={connected && view.asking?.status !== 'sent'}
      disabled={!connected}
      onDo={() => asker.ask({ type: 'resume-job' })}
    />
  );
}

/** All steps are done: it is signed with a name. */
export function SignPanel({ view, asker }: Omit<Props, 'progress'>) {
  const connected = view.link === 'live';
  return (
    <section class="job-step sign" aria-labelledby="step-title">
      <h2 id="step-title">{view.job?.label}</h2>
      <p>{WORDS.run.close.as}</p>
      <NameField asker={asker} />
      <LeadButton
        words={WORDS.run.close.sign}
        due={connected && view.asking?.status !== 'sent'}
        disabled={!connected}
        onDo={() => asker.ask({ type: 'close-job' })}
      />
      <Answer asker={asker} view={view} idle="" />
    </section>
  );
}
