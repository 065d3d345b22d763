/** The step that the job is at: what to do, what to look out for, why it does not go on, and its keys. */
import { ActionPanel } from '../action-panel.tsx';
import { Answer, type Asker, NameField } from '../asker.tsx';
import { sensibly } from '../format.ts';
import { freshness } from '../judge.ts';
import { verdictWords } from '../saying.ts';
import type { View } from '../state.ts';
import { TextField } from '../text-field.tsx';
import { WORDS } from '../words.ts';
import { DoseStep } from './dose-step.tsx';
import { EnterStep } from './enter-step.tsx';
import { AskStep, DecideStep, ReadStep, WaitStep, ZeroStep } from './measuring-steps.tsx';
import type { Hold, JobProgress, NowStep } from './progress.ts';
import { UNIT_OF } from './quantity.ts';
import { blockWords, limitWords } from './saying.ts';
import { TickList } from './tick-list.tsx';

interface Props {
  readonly now: NowStep;
  readonly progress: JobProgress;
  readonly view: View;
  readonly asker: Asker;
  readonly nowMs: number;
}

/** `titled`: the leading words above say the title of the step already. */
export function StepPanel({ now, progress, view, asker, nowMs, titled }: Props & { readonly titled: boolean }) {
  const { steps } = progress;
  const place = steps.findIndex(({ id }) => id === now.step) + 1;
  const connected = view.link === 'live';
  return (
    <section
      class={connected ? 'job-step' : 'job-step old'}
      data-step={now.step}
      data-kind={now.kind}
      aria-labelledby="step-title"
    >
      <p class="place">
        {WORDS.run.stepOf(place, steps.length)}
        {now.round > 1 && `, ${WORDS.run.round(now.round)}`}
      </p>
      <h2 id="step-title" class={titled ? 'for-ears' : ''}>
        {now.title}
      </h2>
      {now.words !== null && <p class="step-words">{now.words}</p>}
      <Cautions title={WORDS.run.cautions} cautions={now.cautions} />
      <Holds holds={now.holds} view={view} blocked={now.blocked} nowMs={nowMs} />
      <Blocked now={now} view={view} />
      {!progress.paused && <Body now={now} progress={progress} view={view} asker={asker} nowMs={nowMs} />}
      <Answer asker={asker} view={view} idle="" />
      <NameField asker={asker} />
      {!progress.paused && <Skip now={now} connected={connected} asker={asker} />}
      {(now.kind === 'wait' || now.kind === 'read') && <ActionPanel asker={asker} view={view} />}
    </section>
  );
}

function Body({ now, progress, view, asker, nowMs }: Props) {
  const key = `${now.step} ${now.round}`;
  switch (now.kind) {
    case 'confirm':
      return <TickList key={key} now={now} view={view} asker={asker} />;
    case 'enter':
      return <EnterStep key={key} now={now} view={view} asker={asker} />;
    case 'wait':
      return <WaitStep now={now} view={view} />;
    case 'read':
      return <ReadStep view={view} asker={asker} />;
    case 'dose':
      return <DoseStep key={key} now={now} progress={progress} view={view} asker={asker} />;
    case 'zero':
      return <ZeroStep key={key} view={view} asker={asker} nowMs={nowMs} />;
    case 'decide':
      return (
        <>
          <Verdict view={view} />
          <DecideStep view={view} asker={asker} />
        </>
      );
    case 'ask':
      return <AskStep now={now} view={view} asker={asker} />;
  }
}

function Verdict({ view: { verdict } }: { readonly view: View }) {
  if (verdict === null) return null;
  return (
    <div class="big-verdict" data-verdict={verdict.result}>
      <p class="result">{WORDS.verdicts[verdict.result]}</p>
      <p>{verdictWords(verdict)}</p>
    </div>
  );
}

export function Cautions({ title, cautions }: { readonly title: string; readonly cautions: readonly string[] }) {
  if (cautions.length === 0) return null;
  return (
    <div class="cautions">
      <h3>
        <svg viewBox="0 0 32 32" aria-hidden="true" focusable="false">
          <path d="M16 4L30 28H2zM16 12v8M16 23.5v1" />
        </svg>
        {title}
      </h3>
      <ul>
        {cautions.map((caution) => (
          <li key={caution}>{caution}</li>
        ))}
      </ul>
    </div>
  );
}

/** A hold that is broken is told by the leading words already. */
function Blocked({ now, view }: Pick<Props, 'now' | 'view'>) {
  const told = now.blocked.filter(({ why }) => why !== 'hold');
  if (told.length === 0) return null;
  return (
    <div class="blocked" role="status">
      <h3>{WORDS.run.blocked}</h3>
      <ul>
        {told.map((block) => (
          <li key={`${block.why} ${block.what}`}>{blockWords(block, view)}</li>
        ))}
      </ul>
    </div>
  );
}

interface HoldsProps {
  readonly holds: readonly Hold[];
  readonly view: View;
  readonly blocked: NowStep['blocked'];
  readonly nowMs: number;
}

function Holds({ holds, view, blocked, nowMs }: HoldsProps) {
  if (holds.length === 0) return null;
  const words = WORDS.run.holds;
  return (
    <div class="holds">
      <h3>{words.title}</h3>
      <ul>
        {holds.map((hold) => {
          const value = view.live?.channels[hold.channel];
          const ucum = UNIT_OF[hold.quantity];
          const known = view.bench?.channels.some(({ id, unit }) => id === hold.channel && unit === ucum) === true;
          const old = freshness(view, hold.channel, nowMs).old;
          const broken = blocked.some(({ why, what }) => why === 'hold' && what === hold.id);
          return (
            <li key={hold.id} class={broken ? 'hold broken' : 'hold'} data-hold={hold.id}>
              <strong>{hold.channel}</strong> {limitWords(hold)}:{' '}
              {!known ? (
                words.watch
              ) : (
                <span class={old ? 'held old' : 'held'}>
                  {words.now} <b>{value === undefined || old ? WORDS.nothing : sensibly(value.value, ucum)}</b>
                  {!old && `, ${broken ? words.broken : words.kept}`}
                </span>
              )}
              {broken && <p class="todo">{hold.words}</p>}
            </li>
          );
        })}
      </ul>
    </div>
  );
}

function Skip({
  now,
  connected,
  asker,
}: {
  readonly now: NowStep;
  readonly connected: boolean;
  readonly asker: Asker;
}) {
  const words = WORDS.run.skip;
  const skip = (reason: string) => asker.ask({ type: 'skip-step', step: now.step, reason });
  if (now.optional)
    return (
      <button type="button" class="skip" disabled={!connected} onClick={() => skip('')}>
        {words.optional}
      </button>
    );
  return (
    <details class="skip" key={now.step}>
      <summary>{words.open}</summary>
      <TextField label={words.reason} button={words.keep} most={500} disabled={!connected} onKeep={skip} />
    </details>
  );
}
