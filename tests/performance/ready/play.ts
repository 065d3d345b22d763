/** A seeded bench through `stillwell rerun`: the bench file is loaded, the log is read as CSV, the core decides. */
import { drivers } from '../../../drivers/index.ts';
import type { SeededBench } from '../../../simulators/seeded-bench/generate.ts';
import { formatMistakes } from '../../../src/config/format.ts';
import { loadBench } from '../../../src/config/load.ts';
import { compensate } from '../../../src/core/compensation/compensate.ts';
import type { Reading } from '../../../src/core/events.ts';
import { rerun } from '../../../src/replay/rerun.ts';
import { benchFile } from './bench-file.ts';
import { type Span, SpanBuilder } from './spans.ts';

export interface Level {
  readonly tS: number;
  readonly mm: number;
}

export interface Forecast {
  readonly tS: number;
  readonly s: number;
  readonly lowS: number;
  readonly highS: number | null;
}

export interface Played {
  readonly ready: readonly Span[];
  /** Which gates shut, each time that ready went. */
  readonly shut: readonly { readonly tS: number; readonly why: readonly string[] }[];
  /** When the gates of temperature window and freshness both stood open. */
  readonly window: readonly Span[];
  /** Good levels, compensated as the product does it. */
  readonly levels: readonly Level[];
  readonly readings: readonly { readonly tS: number; readonly reading: Reading }[];
  /** Of the opening of the window, where it was shut; one about every FORECAST_EVERY_S. */
  readonly forecasts: readonly Forecast[];
  /** Moments at which a forecast could have been given and was not. */
  readonly untold: number;
  /** Openings of the window gate alone. */
  readonly openings: readonly number[];
}

const FORECAST_EVERY_S = 10;

/** `firstOnly`: nothing is sent any more once a reading was taken. */
export async function play(bench: SeededBench, firstOnly = false): Promise<Played> {
  const text = benchFile(bench.p);
  const loaded = loadBench(text, `seed-${bench.p.seed}.yaml`, drivers);
  if (!loaded.ok) throw new Error(formatMistakes(`seed-${bench.p.seed}.yaml`, text, loaded.mistakes));
  const { measure } = loaded.bench;
  const ready = new SpanBuilder();
  const open = { window: false, fresh: false };
  const gates = new SpanBuilder();
  const levels: Level[] = [];
  const readings: { tS: number; reading: Reading }[] = [];
  const forecasts: Forecast[] = [];
  const openings: number[] = [];
  const shut: { tS: number; why: readonly string[] }[] = [];
  let untold = 0;
  let nextForecastS = FORECAST_EVERY_S;
  // Compensated with the temperature that the product takes the fluid to have at its next judgement, a tenth of a second on.
  let waiting: Level[] = [];

  await rerun(
    csv(bench, () => firstOnly && readings.length > 0),
    loaded.bench,
    drivers,
    () => {},
    {
      onOutput(output, tS) {
        if (output.kind === 'sample' && (output.quality === 'good' || output.reason === 'outlier')) {
          if (output.channel === measure.levelChannel) waiting.push({ tS, mm: output.value });
        } else if (output.kind === 'status') {
          const { temperatureC } = output;
          if (temperatureC !== null)
            for (const { tS: atS, mm } of waiting)
              levels.push({
                tS: atS,
                mm: compensate(loaded.bench, {
                  levelMm: mm,
                  temperatureC,
                  referenceC: measure.referenceC,
                  circuitC: null,
                  circuitState: 'none',
                  learned: null,
                }).mm,
              });
          waiting = [];
          const window = output.gates.find(({ id }) => id === 'window');
          const fresh = output.gates.find(({ id }) => id === 'fresh');
          if (window === undefined || fresh === undefined) return;
          if (window.open && !open.window) openings.push(tS);
          open.window = window.open;
          open.fresh = fresh.open;
          gates.set(tS, window.open && fresh.open);
          if (window.open || window.value === null || tS < nextForecastS) return;
          nextForecastS = tS + FORECAST_EVERY_S;
          if (window.toGo === null) untold++;
          else forecasts.push({ tS, ...window.toGo });
        } else if (output.kind === 'outcome') {
          const { outcome } = output;
          if (outcome.kind === 'ready') {
            ready.set(tS, outcome.ready);
            if (!outcome.ready) shut.push({ tS, why: outcome.shut });
          }
          if (outcome.kind === 'reading') readings.push({ tS, reading: outcome.reading });
        }
      },
    },
  );
  const { lastsS } = bench.p;
  return {
    ready: ready.end(lastsS),
    shut,
    window: gates.end(lastsS),
    levels,
    readings,
    forecasts,
    untold,
    openings,
  };
}

/** The log, a thousand rows at a time, until told that it is enough. */
export async function* csv({ rows, p }: SeededBench, enough = () => false): AsyncGenerator<string> {
  const strength = p.gauge.tellsStrength;
  let text = `time,temperature,level${strength ? ',q' : ''}\n`;
  const cell = (value: number | null, digits: number) => (value === null ? '' : value.toFixed(digits));
  for (const [i, row] of rows.entries()) {
    text += `${row.tS.toFixed(6)},${cell(row.temperature, 4)},${cell(row.level, 4)}`;
    text += strength ? `,${cell(row.strength, 0)}\n` : '\n';
    if (i % 1000 === 999) {
      if (enough()) return;
      yield text;
      text = '';
    }
  }
  yield text;
}
