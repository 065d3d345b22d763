/**
 * The bench on somebody else's data: a CSV of any logger, one time column and one column per channel, through the same
 * core. Every row is a frame of a delimited instrument; virtual time, so it runs as fast as the machine can.
 */
import { parse } from 'csv-parse';
import type { AppliedCertificate } from '../core/calibration/certificate.ts';
import { NOTHING_CARRIED } from '../core/carried.ts';
import type { Decoders } from '../core/decoder.ts';
import type { BenchDescription } from '../core/description.ts';
import type { Input, Output } from '../core/events.ts';
import { numericsProbe } from '../core/numerics.ts';
import { createPipeline, type Step } from '../core/pipeline.ts';
import type { State } from '../core/state.ts';
import { ALGORITHM_VERSION, SCHEMA_VERSION } from '../core/version.ts';
import { CsvFault, checkedValue, checkHeader, readTime } from './csv-cells.ts';

/** One line of the answer. */
export type RerunLine =
  | { readonly t: number; readonly ready: boolean; readonly why: readonly string[] }
  | { readonly t: number; readonly reading: { levelMm: number; U95Mm: number; temperatureC: number } };

export interface RerunOptions {
  /** Name of the time column; by default the first one. */
  readonly timeColumn?: string;
  /** Certificates by channel, as in a run of the bench. */
  readonly calibrations?: readonly AppliedCertificate[];
  readonly onProgress?: (rows: number) => void;
  /** Everything that the core says from the first row on, with the seconds of the log. */
  readonly onOutput?: (output: Output, t: number) => void;
}

const INSTRUMENT = 'csv';
type NewInput = Input extends infer Each ? (Each extends Input ? Omit<Each, 'seq'> : never) : never;

export interface RerunCount {
  readonly rows: number;
  /** Rows that gave no number, by reason. */
  readonly discarded: Readonly<Record<string, number>>;
  /** What was assumed, in words, each once. */
  readonly notes: readonly string[];
}

/** Reads CSV text from `source` and calls `onLine` for every change of ready and every reading. */
export async function rerun(
  source: AsyncIterable<Buffer | string>,
  bench: BenchDescription,
  decoders: Decoders,
  onLine: (line: RerunLine) => void,
  options: RerunOptions = {},
): Promise<RerunCount> {
  const pipeline = createPipeline(decoders);
  let state: State | null = null;
  let wakeAtUs: number | null = null;
  let seq = 0;
  let startS = 0;
  let begun = false;
  let rows = 0;
  const discarded: Record<string, number> = {};
  const notes = new Set<string>();
  let lastUs = -1;
  let columns: { time: number; signals: readonly number[] } | null = null;

  const admit = (input: NewInput): void => {
    const step: Step = pipeline.step(state, { ...input, seq: ++seq } as Input);
    state = step.state;
    wakeAtUs = step.wakeAtUs;
    for (const output of step.outputs) {
      if (begun) options.onOutput?.(output, startS + input.tUs / 1e6);
      if (output.kind === 'discarded') discarded[output.reason] = (discarded[output.reason] ?? 0) + output.count;
      else tell(output, startS, onLine);
    }
  };
  const sleepUntil = (tUs: number): void => {
    while (wakeAtUs !== null && wakeAtUs < tUs) admit({ kind: 'tick', tUs: wakeAtUs });
  };

  const parser = parse({ bom: true, skip_empty_lines: true, trim: true, relax_column_count: true, comment: '#' });
  const feed = (async () => {
    for await (const chunk of source) if (!parser.write(chunk)) await new Promise((done) => parser.once('drain', done));
    parser.end();
  })();
  feed.catch((error: unknown) => parser.destroy(error as Error));
  for await (const row of parser as AsyncIterable<string[]>) {
    if (columns === null) {
      const { derived, time, signals } = deriveBench(bench, row, options.timeColumn);
      columns = { time, signals };
      admit({
        kind: 'run-start',
        tUs: 0,
        run: 1,
        schema: SCHEMA_VERSION,
        algorithm: ALGORITHM_VERSION,
        software: 'rerun',
        bench: derived,
        drivers: {},
        numerics: numericsProbe(),
        calibrations: options.calibrations ?? [],
        carried: NOTHING_CARRIED,
      });
      admit({
        kind: 'link',
        tUs: 0,
        instrument: INSTRUMENT,
        state: 'open',
        reason: 'connected',
        connection: 1,
        detail: '',
      });
      continue;
    }
    const where = `row ${rows + 2}`;
    const t = readTime(row[columns.time] ?? '', where, (words) => notes.add(words));
    if (!begun) startS = t;
    begun = true;
    const tUs = Math.round((t - startS) * 1e6);
    if (tUs < lastUs) throw new CsvFault(`${where}: time goes backwards (${row[columns.time]})`);
    lastUs = tUs;
    sleepUntil(tUs);
    const line = columns.signals.map((at) => checkedValue(row[at] ?? '', where)).join(',');
    admit({ kind: 'frame', tUs, instrument: INSTRUMENT, connection: 1, bytes: Buffer.from(line), request: 0 });
    rows++;
    if (rows % 10_000 === 0) options.onProgress?.(rows);
  }
  await feed;
  if (rows === 0) throw new CsvFault('there is no row of data: a header line and one row per time are expected');
  return { rows, discarded, notes: [...notes] };
}

/** The bench with one delimited instrument in place of its own; laws and units of the channels stay. */
function deriveBench(bench: BenchDescription, header: readonly string[], timeColumn: string | undefined) {
  checkHeader(header, [timeColumn ?? header[0] ?? '', ...bench.channels.map(({ id }) => id)]);
  const time = timeColumn === undefined ? 0 : header.indexOf(timeColumn);
  if (time < 0) throw new CsvFault(`there is no column "${timeColumn}"; the columns are ${header.join(', ')}`);
  const present = bench.channels.filter(({ id }) => header.includes(id));
  const needed = [bench.measure.levelChannel, bench.measure.temperatureChannel];
  const missing = needed.filter((id) => !header.includes(id));
  if (missing.length > 0)
    throw new CsvFault(`no column for channel ${missing.join(', ')}; the columns are ${header.join(', ')}`);
  // The strength of an echo is no channel of its own: its column bears the name that the board gives it.
  const strengths = present.flatMap(({ echo }) => echo?.strengthSignal ?? []).filter((name) => header.includes(name));
  const signals = [...new Set([...present.map(({ id }) => id), ...strengths])];
  const derived: BenchDescription = {
    ...bench,
    instruments: [
      {
        id: INSTRUMENT,
        driver: 'columns',
        options: { separator: ',', columns: signals, blanks: 'skip' },
        link: { kind: 'memory', name: INSTRUMENT },
        intervalUs: Math.min(...present.map(({ intervalUs }) => intervalUs)),
      },
    ],
    channels: present.map((channel) => ({ ...channel, instrument: INSTRUMENT, signal: channel.id })),
  };
  return { derived, time, signals: signals.map((name) => header.indexOf(name)) };
}

function tell(output: Output, startS: number, onLine: (line: RerunLine) => void): void {
  if (output.kind !== 'outcome') return;
  const { outcome } = output;
  const t = Math.round((startS + outcome.tUs / 1e6) * 1e6) / 1e6;
  if (outcome.kind === 'ready') onLine({ t, ready: outcome.ready, why: outcome.shut });
  if (outcome.kind === 'reading') {
    const { levelMm, U95Mm, temperatureC } = outcome.reading;
    onLine({ t, reading: { levelMm, U95Mm, temperatureC } });
  }
}
