/** On Now: the one key of the step, where it has one; else the way to the step. */
import { Answer, type Asker, NameField } from '../asker.tsx';
import { LeadButton } from '../lead-button.tsx';
import { hrefOf } from '../route.ts';
import type { View } from '../state.ts';
import { WORDS } from '../words.ts';
import { Paused } from './job-acts.tsx';
import type { JobProgress, NowStep } from './progress.ts';
import { useTicks } from './tick-list.tsx';

interface Props {
  readonly view: View;
  readonly asker: Asker;
  readonly progress: JobProgress;
}

export function NowAction({ view, asker, progress }: Props) {
  const { now, paused } = progress;
  return (
    <section class="lead-action">
      {paused ? (
        <Paused view={view} asker={asker} />
      ) : now?.kind === 'confirm' ? (
        <TickNext key={`${now.step} ${now.round}`} now={now} view={view} asker={asker} />
      ) : now?.kind === 'read' || now?.kind === 'decide' ? (
        <LeadButton
          words={view.asking?.status === 'sent' ? WORDS.taking : WORDS.run.read.now}
          due={view.live?.ready === true && view.asking?.status !== 'sent'}
          disabled={view.link !== 'live'}
          onDo={() => asker.ask({ type: 'take-reading' })}
        />
      ) : null}
      <a class="to-job" href={hrefOf('job')}>
        {WORDS.run.toJob}
      </a>
      <Answer asker={asker} view={view} idle={now?.kind === 'confirm' ? WORDS.takeKey : ''} />
      <NameField asker={asker} />
    </section>
  );
}

function TickNext({ now, view, asker }: Omit<Props, 'progress'> & { readonly now: NowStep }) {
  const { ticked, lead } = useTicks(now, view, asker);
  const next = now.ticks.find(({ id }) => !ticked(id));
  return (
    <>
      {next !== undefined && <p class="next-tick">{next.words}</p>}
      <LeadButton {...lead} disabled={!lead.due} />
    </>
  );
}
