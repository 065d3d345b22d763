/** The two live values, large, each with its unit and whether it is live or old. */
import { amount, chosen, fixed, span, unitSign } from './format.ts';
import { type Freshness, freshness, together } from './judge.ts';
import { Pulse } from './pictogram.tsx';
import type { View } from './state.ts';
import { qualityWords, WORDS } from './words.ts';

export function Figures({ view, nowMs }: { readonly view: View; readonly nowMs: number }) {
  const { bench, live } = view;
  const temperature = freshness(view, bench?.temperatureChannel ?? '', nowMs);
  const level = freshness(view, bench?.levelChannel ?? '', nowMs);
  const raw = live?.channels[bench?.levelChannel ?? ''];
  const unitOf = (id: string | undefined, other: string) => bench?.channels.find((c) => c.id === id)?.unit ?? other;
  return (
    <div class="figures">
      <Figure
        id="temperature"
        title={WORDS.temperature}
        value={live?.temperatureC ?? null}
        unit="Cel"
        freshness={temperature}
        more={bench === null ? '' : WORDS.window(fixed(bench.windowLowC, 0), chosen(bench.windowHighC, 'Cel'))}
      />
      <Figure
        id="level"
        title={bench === null ? WORDS.level : WORDS.levelAt(chosen((view.live ?? bench).referenceC, 'Cel'))}
        value={live?.levelMm ?? null}
        unit="mm"
        freshness={together(level, temperature)}
        more={[
          raw?.quality !== 'good' ? '' : WORDS.asMeasured(amount(raw.value, 1, unitOf(bench?.levelChannel, 'mm'))),
          typeof live?.volumeL !== 'number' ? '' : WORDS.about(amount(live.volumeL, 2, 'L')),
        ]
          .filter((words) => words !== '')
          .join(' · ')}
      />
    </div>
  );
}

interface FigureProps {
  readonly id: string;
  readonly title: string;
  readonly value: number | null;
  readonly unit: string;
  readonly freshness: Freshness;
  readonly more: string;
}

function Figure({ id, title, value, unit, freshness, more }: FigureProps) {
  const quality = qualityWords(freshness.quality, freshness.reason);
  return (
    <section class={freshness.old ? 'figure old' : 'figure'} data-figure={id} aria-labelledby={`figure-${id}`}>
      <h2 id={`figure-${id}`}>{title}</h2>
      <p class="value">
        <span class="number">{value === null ? WORDS.nothing : fixed(value, 1)}</span>{' '}
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
