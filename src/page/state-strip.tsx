/** The state in a strip, above every view but Now: whatever one looks at, what to do stays in sight. */
import { amount, toGo } from './format.ts';
import { jobLead } from './job/lead.ts';
import { JobSign } from './job/signs.tsx';
import { face, shutGates } from './judge.ts';
import { levelFigure, temperatureFigure } from './live-figures.ts';
import { Well } from './pictogram.tsx';
import { hrefOf } from './route.ts';
import { gateShort } from './saying.ts';
import type { View } from './state.ts';
import { WORDS } from './words.ts';

export function StateStrip({ view, nowMs }: { readonly view: View; readonly nowMs: number }) {
  const shown = face(view);
  const { word, rest } = WORDS.state[shown];
  const first = shown === 'wait' && view.live !== null ? shutGates(view.live)[0] : undefined;
  const lead = jobLead(view, nowMs);
  const forecast = lead === null ? (first?.toGo ?? null) : (lead.closes ?? lead.toGo);
  return (
    <a class={`state strip ${lead?.face ?? shown}`} data-state={shown} href={hrefOf('now')}>
      {lead === null ? <Well face={shown} /> : <JobSign sign={lead.sign} />}
      <span class="word">{lead?.word ?? word}</span>
      {lead !== null && lead.figure !== '' && <span class="word">{lead.figure}</span>}
      <span class="rest">{lead?.rest ?? (first === undefined ? rest : gateShort(first))}</span>
      {forecast !== null && <span class="to-go">{toGo(forecast).about}</span>}
      <span class="figures">
        {[temperatureFigure(view, nowMs), levelFigure(view, nowMs)].map(({ id, value, unit, decimals, freshness }) => (
          <span key={id} class={freshness.old ? 'old' : ''}>
            {value === null ? WORDS.nothing : amount(value, decimals, unit)}
            {freshness.old && <span class="old-mark">{WORDS.oldUnknown}</span>}
          </span>
        ))}
      </span>
    </a>
  );
}
