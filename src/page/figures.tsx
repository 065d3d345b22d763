/** The two live values, large, each with its unit and whether it is live or old. */
import { decimalsIn, fixed, span, unitSign } from './format.ts';
import type { Freshness } from './judge.ts';
import { type LiveFigure, levelFigure, temperatureFigure } from './live-figures.ts';
import { Pulse } from './pictogram.tsx';
import type { View } from './state.ts';
import { convert } from './units.ts';
import { qualityWords, WORDS } from './words.ts';

export function Figures({ view, nowMs }: { readonly view: View; readonly nowMs: number }) {
  return (
    <div class="figures">
      <Figure {...temperatureFigure(view, nowMs)} />
      <Figure {...levelFigure(view, nowMs)} />
    </div>
  );
}

function Figure({ id, title, value, unit, decimals, freshness, more }: LiveFigure) {
  const quality = qualityWords(freshness.quality, freshness.reason);
  return (
    <section class={freshness.old ? 'figure old' : 'figure'} data-figure={id} aria-labelledby={`figure-${id}`}>
      <h2 id={`figure-${id}`}>{title}</h2>
      <p class="value">
        <span class="number">
          {value === null ? WORDS.nothing : fixed(convert(value, unit), decimalsIn(decimals, unit))}
        </span>{' '}
        <span class="unit">{unitSign(unit)}</span>
      </p>
      <p class="beneath">
        <span class="freshness">
          <Pulse old={freshness.old} /> {freshnessWords(freshness)}
        </span>{' '}
        {quality !== '' && <span class="doubt">{quality}</span>} <span class="aside">{more}</span>
      </p>
    </section>
  );
}

function freshnessWords({ known, old, ageS }: Freshness): string {
  if (!known) return WORDS.never;
  if (!old) return WORDS.fresh;
  return ageS === null ? WORDS.oldUnknown : WORDS.old(span(ageS));
}
