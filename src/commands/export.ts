/** `stillwell export`: what a record holds, for other programs. Streamed: nothing is gathered, however long it is. */
import { once } from 'node:events';
import { setFlagsFromString } from 'node:v8';
import { drivers } from '../../drivers/index.ts';
import { INSIDE_UNITS, type QuantityKind } from '../core/description.ts';
import type { Outcome } from '../core/events.ts';
import { StillwellError } from '../errors.ts';
import type { DatedOutcome, Entry } from '../journal/contract.ts';
import { openRecord, type RecordFile } from '../journal/record-file.ts';
import { samplesOf } from '../replay/samples.ts';
import { csvRecord } from '../report/csv.ts';
import * as rows from '../report/rows.ts';
import { SENML_UNITS, type SenmlValue, senmlName, senmlText, shifted } from '../report/senml.ts';
import { type FoundJob, jobsOf } from './jobs.ts';
import { counted } from './out.ts';
import { startFile } from './out-file.ts';
import { type Progress, progressOn } from './progress.ts';

export const EXPORT_FORMATS = ['csv', 'senml', 'jsonl'] as const;
export const EXPORT_SUBJECTS = ['samples', 'readings', 'outcomes'] as const;

export interface ExportOptions {
  readonly as: (typeof EXPORT_FORMATS)[number];
  readonly what: (typeof EXPORT_SUBJECTS)[number];
  readonly job?: number;
  readonly channel?: readonly string[];
  /** Standard output without it. */
  readonly out?: string;
}

const PIECE = 64 * 1024;

/** Exit codes: 0 written, 2 nothing to write. */
export async function exportRecord(
  file: string,
  options: ExportOptions,
  out: NodeJS.WritableStream,
  say: NodeJS.WritableStream,
  terminal: NodeJS.WritableStream | null,
): Promise<number> {
  if (options.as === 'senml' && options.what === 'outcomes')
    throw new StillwellError('export-impossible', file, 'SenML takes numbers: samples or readings');
  // What is made here lives for a moment: a nursery that grows would only hold more of what is dead.
  setFlagsFromString('--semi-space-growth-factor=1');
  const journal = openRecord(file);
  const progress = progressOn(terminal);
  try {
    const source = new Source(journal, file, options, progress);
    const to = options.out === undefined ? null : startFile(options.out, [file, `${file}-wal`, `${file}-shm`]);
    try {
      for (const piece of inPieces(source.text())) {
        if (to !== null) to.write(piece);
        else if (!out.write(piece)) await once(out, 'drain');
      }
      if (source.count > 0) to?.keep();
    } finally {
      to?.close();
    }
    progress.end();
    say.write(source.summary());
    return source.count > 0 ? 0 : 2;
  } finally {
    progress.end();
    journal.close();
  }
}

function* inPieces(texts: Iterable<string>): Generator<string> {
  let piece = '';
  for (const text of texts) {
    piece += text;
    if (piece.length < PIECE) continue;
    yield piece;
    piece = '';
  }
  if (piece !== '') yield piece;
}

class Source {
  count = 0;
  /** Values that SenML cannot take. */
  private doubtful = 0;
  private undated = 0;
  private readonly journal: RecordFile;
  private readonly file: string;
  private readonly options: ExportOptions;
  private readonly progress: Progress;
  private readonly job: FoundJob | null;
  private quantities = new Map<string, QuantityKind>();

  constructor(journal: RecordFile, file: string, options: ExportOptions, progress: Progress) {
    this.journal = journal;
    this.file = file;
    this.options = options;
    this.progress = progress;
    this.job = options.job === undefined ? null : jobNumbered(journal, file, options.job);
  }

  text(): Iterable<string> {
    const { what, as } = this.options;
    if (as === 'senml') return senmlText(`${this.journal.journalId}:`, this.senmlValues());
    const columns = { samples: rows.SAMPLE_COLUMNS, readings: rows.READING_COLUMNS, outcomes: rows.OUTCOME_COLUMNS }[
      what
    ];
    return as === 'csv' ? this.csv(columns) : this.jsonLines();
  }

  summary(): string {
    const { what } = this.options;
    const left = [
      ...(this.doubtful > 0 ? [`${this.doubtful} suspect or bad ones left out`] : []),
      ...(this.undated > 0 ? [`${this.undated} without a date left out`] : []),
    ];
    const words = counted(this.count, what.slice(0, -1), what);
    return `${this.count === 0 ? `nothing to write: no ${what}` : words}${left.map((one) => `; ${one}`).join('')}\n`;
  }

  private *csv(columns: readonly string[]): Generator<string> {
    let begun = false;
    for (const row of this.rows()) {
      if (!begun) yield csvRecord(columns);
      begun = true;
      yield csvRecord(rows.cellsOf(row, columns));
    }
  }

  private *jsonLines(): Generator<string> {
    for (const row of this.rows()) yield `${JSON.stringify(row)}\n`;
  }

  private *rows(): Generator<rows.Row> {
    const { what } = this.options;
    if (what === 'samples') {
      for (const { utcMs, run, sample } of this.samples()) {
        this.count++;
        yield rows.sampleRow(utcMs, run, sample, this.quantityOf(sample.channel));
      }
      return;
    }
    for (const { utcMs, outcome } of this.outcomes(what === 'readings' ? ['reading'] : [])) {
      this.count++;
      yield outcome.kind === 'reading' && what === 'readings'
        ? rows.readingRow(utcMs, outcome, outcome.reading)
        : rows.outcomeRow(utcMs, outcome);
    }
  }

  /** What has a date and is not doubted. */
  private *senmlValues(): Generator<SenmlValue> {
    if (this.options.what === 'readings') {
      for (const { utcMs, outcome } of this.outcomes(['reading'])) {
        if (outcome.kind !== 'reading' || !this.hasDate(utcMs)) continue;
        const { levelMm, U95Mm, temperatureC, basis } = outcome.reading;
        const level = senmlName(basis.levelChannel);
        this.count++;
        yield { name: `${level}:reading`, unit: 'm', value: shifted(levelMm, -3), utcMs };
        yield { name: `${level}:reading:U95`, unit: 'm', value: shifted(U95Mm, -3), utcMs };
        yield { name: `${senmlName(basis.temperatureChannel)}:reading`, unit: 'Cel', value: temperatureC, utcMs };
      }
      return;
    }
    for (const { utcMs, sample } of this.samples()) {
      if (sample.quality !== 'good') this.doubtful++;
      else if (this.hasDate(utcMs)) {
        const { unit, tens } = SENML_UNITS[this.quantityOf(sample.channel)];
        this.count++;
        yield { name: senmlName(sample.channel), unit, value: shifted(sample.value, tens), utcMs };
      }
    }
  }

  private hasDate(utcMs: number): boolean {
    if (utcMs <= 0) this.undated++;
    return utcMs > 0;
  }

  private *samples() {
    const { job, journal, progress } = this;
    const wanted = this.options.channel;
    const runs = new Map(journal.runs().map((run) => [run.run, run]));
    const total = journal.countInputs();
    const from = job === null ? 0 : (runs.get(job.run)?.seq ?? 1) - 1;
    const samples = samplesOf(upTo(journal.entries(from), job?.closed?.seq ?? null), drivers, {
      onProgress: (inputs) => progress.at(inputs, total, counted(this.count, 'sample')),
      onRun: ({ bench }) => {
        this.quantities = new Map(bench.channels.map(({ id, quantity }) => [id, quantity]));
        const unknown = wanted?.filter((id) => !this.quantities.has(id)) ?? [];
        if (unknown.length > 0)
          throw new StillwellError(
            'export-impossible',
            this.file,
            `no channel ${unknown.join(', ')}; there are ${[...this.quantities.keys()].join(', ')}`,
          );
      },
      resume: journal.resume,
      runUtcMs: (run) => runs.get(run)?.utc_ms ?? 0,
    });
    for (const dated of samples) {
      if (wanted !== undefined && !wanted.includes(dated.sample.channel)) continue;
      if (job === null || dated.sample.seq >= job.startedSeq) yield dated;
    }
  }

  private outcomes(kinds: readonly Outcome['kind'][]): Iterable<DatedOutcome> {
    const { job } = this;
    const upTo = job?.closed?.event;
    return this.journal.outcomes({
      kinds,
      ...(job === null ? {} : { after: job.startedEvent - 1 }),
      ...(upTo === undefined ? {} : { upTo }),
    });
  }

  private quantityOf(channel: string): QuantityKind {
    return this.quantities.get(channel) ?? (Object.keys(INSIDE_UNITS)[0] as QuantityKind);
  }
}

function* upTo(entries: Iterable<Entry>, lastSeq: number | null): Generator<Entry> {
  for (const entry of entries) {
    if (lastSeq !== null && entry.kind === 'input' && entry.input.seq > lastSeq) return;
    yield entry;
  }
}

function jobNumbered(journal: RecordFile, file: string, number: number): FoundJob {
  const jobs = [...jobsOf(journal, file)];
  const job = jobs.find(({ id }) => id === number);
  if (job !== undefined) return job;
  const there = jobs.length === 0 ? 'it holds no job' : `its jobs are ${jobs.map(({ id }) => id).join(', ')}`;
  throw new StillwellError('job-unknown', file, `no job ${number}; ${there}`);
}
