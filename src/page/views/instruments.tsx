/** The instruments: how each does, its newest values, how quiet the level is, and which calibrations hold. */
import type { ViewProps } from '../app.tsx';
import { count, measured, sensibly, span, timeOfDay } from '../format.ts';
import { HealthPanel } from '../health-panel.tsx';
import { freshness } from '../judge.ts';
import { Asides } from '../notices.tsx';
import type { View } from '../state.ts';
import { qualityWords, WORDS } from '../words.ts';

export function InstrumentsView({ desk, nowMs }: ViewProps) {
  const { view } = desk;
  return (
    <div class="columns">
      <div>
        <HealthPanel view={view} nowMs={nowMs} />
        <Asides view={view} />
      </div>
      <div>
        <Values view={view} nowMs={nowMs} />
        <Noise view={view} />
        <Certificates view={view} />
      </div>
    </div>
  );
}

function Values({ view, nowMs }: { readonly view: View; readonly nowMs: number }) {
  const words = WORDS.values;
  return (
    <section class="values" aria-labelledby="values-title">
      <h2 id="values-title">{words.title}</h2>
      <table>
        <thead>
          <tr>
            <th scope="col">{words.channel}</th>
            <th scope="col">{words.value}</th>
            <th scope="col">{words.state}</th>
          </tr>
        </thead>
        <tbody>
          {(view.bench?.channels ?? []).map(({ id, unit, intervalS }) => {
            const value = view.live?.channels[id];
            const { known, old, ageS, quality, reason } = freshness(view, id, nowMs);
            const state = !known ? WORDS.never : old && ageS !== null ? WORDS.old(span(ageS)) : WORDS.fresh;
            return (
              <tr key={id} class={old ? 'old' : ''} data-channel={id}>
                <th scope="row">
                  {id}
                  <span class="how">
                    {words.every} {sensibly(intervalS, 's')}
                  </span>
                </th>
                <td>{value === undefined ? WORDS.nothing : sensibly(value.value, unit)}</td>
                <td>{[state, qualityWords(quality, reason)].filter((part) => part !== '').join(', ')}</td>
              </tr>
            );
          })}
        </tbody>
      </table>
    </section>
  );
}

function Noise({ view }: { readonly view: View }) {
  const words = WORDS.noise;
  const known = view.numbers;
  return (
    <section class="noise" aria-labelledby="noise-title">
      <h2 id="noise-title">{words.title}</h2>
      {known === null ? (
        <p class="none">{words.none}</p>
      ) : (
        <>
          <p>
            {words.noise}: {sensibly(known.numbers.noiseMm, 'mm')}
          </p>
          <p>
            {words.drift}: {driftWords(known.numbers)}
          </p>
          <p class="aside">
            {words.used(count(known.numbers.used), count(Math.round(known.numbers.effective)))}. {words.when},{' '}
            {timeOfDay(known.utc, new Date())}.
          </p>
        </>
      )}
    </section>
  );
}

/** With twice its standard uncertainty, as everything else on the page. */
function driftWords({ driftMmPerMin, uDriftMmPerMin }: NonNullable<View['numbers']>['numbers']): string {
  const { value, U } = measured(driftMmPerMin, 2 * uDriftMmPerMin, 'mm/min');
  return `${value} ±${U}`;
}

function Certificates({ view }: { readonly view: View }) {
  const words = WORDS.certificates;
  const overdue = view.alarms.filter(({ alarm }) => alarm === 'calibration-overdue');
  const inForce = view.lastReading?.reading.basis.calibrations ?? null;
  return (
    <section class="certificates" aria-labelledby="certificates-title">
      <h2 id="certificates-title">{words.title}</h2>
      {overdue.map(({ source, why }) => (
        <p key={`${source} ${why}`} class="fault">
          {WORDS.alarm(source, why)}
        </p>
      ))}
      {inForce === null && <p class="none">{words.unknown}</p>}
      {inForce?.length === 0 && <p class="none">{words.none}</p>}
      {inForce !== null && inForce.length > 0 && (
        <>
          <p>{words.inForce}:</p>
          <ul>
            {inForce.map((id) => (
              <li key={id}>{id}</li>
            ))}
          </ul>
          {overdue.length === 0 && <p class="aside">{words.holds}</p>}
        </>
      )}
    </section>
  );
}
