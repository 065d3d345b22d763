/** What the job asks for now, large: on Now to be read from three metres, above the steps of the job, and in a strip. */
import { toGo } from '../format.ts';
import type { View } from '../state.ts';
import { WORDS } from '../words.ts';
import type { Lead } from './lead.ts';
import { JobSign } from './signs.tsx';
import { StopMarkPanel } from './stop-mark.tsx';

/** Longer words get smaller letters. */
const LETTERS = 5;

interface Props {
  readonly lead: Lead;
  readonly view: View;
  readonly nowMs: number;
  /** The title of the view, or a part of it. */
  readonly as: 'h1' | 'p';
}

export function LeadPanel({ lead, view, nowMs, as: Title }: Props) {
  const { face, sign, word, rest, figure, why, closingLeads } = lead;
  const besides = lead.toGo !== null && lead.closes === null;
  return (
    <section
      class={`state job-lead ${face}${besides ? ' beside' : ''}`}
      data-lead={sign}
      data-face={face}
      aria-labelledby="state-word"
    >
      {closingLeads && <Countdowns lead={lead} />}
      <div class="headline">
        <JobSign sign={sign} />
        <Title id="state-word" class="headwords">
          <span class="line">
            <span class={word.length > LETTERS ? 'word long' : 'word'}>{word}</span>{' '}
            {figure !== '' && <span class="word figure-word">{figure}</span>}
          </span>{' '}
          <span class="rest">{rest}</span>
        </Title>
      </div>
      {!closingLeads && <Countdowns lead={lead} />}
      <StopMarkPanel view={view} nowMs={nowMs} />
      {why !== '' && (
        <div class="why">
          <p class="words">{why}</p>
        </div>
      )}
      <p class="for-ears" role="status" aria-live="polite">
        {[`${[word, figure, rest].filter((part) => part !== '').join(' ')}.`, why].join(' ').trim()}
      </p>
    </section>
  );
}

function Countdowns({ lead: { toGo: opens, closes } }: { readonly lead: Lead }) {
  if (closes !== null) {
    const { clock, between } = toGo(closes);
    return (
      <p class="lead countdown closing">
        <span class="before">{clock === '' ? WORDS.run.closes.now : WORDS.run.closes.before}</span>{' '}
        {clock !== '' && <span class="huge">{clock}</span>} {between !== '' && <span class="between">{between}</span>}
      </p>
    );
  }
  if (opens === null) return null;
  const { clock, between } = toGo(opens);
  return (
    <p class="lead countdown">
      {clock === '' ? (
        <span class="after">{WORDS.toGo.now}</span>
      ) : (
        <>
          <span class="before">{WORDS.toGo.before}</span> <span class="huge">{clock}</span>{' '}
          <span class="after">{WORDS.toGo.after}</span>
        </>
      )}{' '}
      {between !== '' && <span class="between">{between}</span>}
    </p>
  );
}
