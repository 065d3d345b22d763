/** How the last reading stands to the target of the job, and what can be done about it. */
import type { Asker } from './asker.tsx';
import { Budget } from './budget.tsx';
import { amount } from './format.ts';
import { verdictWords } from './saying.ts';
import type { View } from './state.ts';
import { TextField } from './text-field.tsx';
import { WORDS } from './words.ts';

/** Nothing where nothing is to be matched: no job, or a bench without a tolerance. */
export function MatchPanel({ asker, view }: { readonly asker: Asker; readonly view: View }) {
  const { bench, job, target, verdict, lastReading } = view;
  if (job === null || bench === null || bench.matchToleranceMm === null) return null;
  const newest = lastReading !== null && lastReading.reading.job === job.id ? lastReading.reading.id : null;
  const isTarget = target?.from === 'reading' && target.reading === newest;
  return (
    <section class={view.link === 'live' ? 'match' : 'match old'} aria-labelledby="match-title">
      <h2 id="match-title">{WORDS.verdict}</h2>
      <p class="target">{targetWords(target)}</p>
      {verdict !== null && <Told asker={asker} verdict={verdict} connected={view.link === 'live'} />}
      {newest !== null && !isTarget && (
        <button
          type="button"
          class="quiet"
          disabled={view.link !== 'live'}
          onClick={() => asker.ask({ type: 'set-target', target: { from: 'reading', reading: newest } })}
        >
          {WORDS.target.take(newest)}
        </button>
      )}
    </section>
  );
}

function targetWords(target: View['target']): string {
  if (target === null) return WORDS.target.none;
  return target.from === 'reading'
    ? WORDS.target.reading(target.reading)
    : WORDS.target.level(amount(target.levelMm, 1, 'mm'));
}

interface Telling {
  readonly asker: Asker;
  readonly verdict: NonNullable<View['verdict']>;
  readonly connected: boolean;
}

function Told({ asker, verdict, connected }: Telling) {
  const { reading, result, judged, accepted } = verdict;
  return (
    <>
      <p class="verdict" data-verdict={result} role="status">
        <strong>{WORDS.verdicts[result]}</strong> <span>{WORDS.verdictOf(reading)}</span>
      </p>
      <p>{verdictWords(verdict)}</p>
      {accepted !== null && <p class="accepted">{WORDS.acceptedBy(accepted.actor, accepted.reason)}</p>}
      {result === 'undecided' && accepted === null && <Accept asker={asker} connected={connected} />}
      {judged !== null && (
        <details>
          <summary>{WORDS.verdictBudget}</summary>
          <Budget {...judged} />
        </details>
      )}
    </>
  );
}

/** No reason, no acceptance. */
function Accept({ asker, connected }: Omit<Telling, 'verdict'>) {
  return (
    <TextField
      label={WORDS.accept}
      button={WORDS.acceptKeep}
      most={500}
      disabled={!connected}
      onKeep={(reason) => asker.ask({ type: 'accept', reason })}
    />
  );
}
