/** Gathers all that a report tells of one job, and recomputes it on the way: the charts come from the frames themselves. */
import { basename } from 'node:path';
import type { InputOf, OutcomeOf, Reading } from '../core/events.ts';
import { type Anchor, anchorOf, utcMsAt } from '../journal/calendar.ts';
import type { DatedOutcome, Entry } from '../journal/contract.ts';
import type { RunBeginning } from '../journal/file-queries.ts';
import type { RecordFile } from '../journal/record-file.ts';
import type { Watch } from '../replay/compare.ts';
import { Decimator } from '../report/decimate.ts';
import type { Chart, DatedAlarm, JobRecord, Mark, Series } from '../report/record.ts';
import { checkChain, recompute } from './check-record.ts';
import { photosFor } from './gather-photos.ts';
import type { FoundJob } from './jobs.ts';
import type { Progress } from './progress.ts';

/** Buckets across a chart: two for each millimetre of paper, about. */
const ACROSS = 600;
/** A chart of a reading begins this many windows before it, and ends one after it. */
const BEFORE = 3;
const LEAST_MS = 20_000;

export interface Made {
  readonly by: string;
  readonly utcMs: number;
}

export function gatherJob(journal: RecordFile, job: FoundJob, made: Made, progress: Progress): JobRecord {
  const upTo = job.closed === null ? {} : { upTo: job.closed.event };
  // The action that started it stands before it, and came of the same input.
  const outcomes = [...journal.outcomes({ after: Math.max(0, job.startedEvent - 2), ...upTo })].filter(
    ({ outcome }) => outcome.seq >= job.startedSeq,
  );
  const runs = runsOf(journal, job);
  const first = runs[0];
  const chain = checkChain(journal, progress);
  const views = viewsOf(job, outcomes, runs, outcomes.at(-1)?.utcMs ?? job.startedUtcMs);
  const watch = new Dater(runs, views);
  const entries = first === undefined ? [] : until(journal.entries(first.seq - 1), job.closed?.seq ?? null);
  const see: Watch = (run, input, outputs) => {
    watch.see(run, input);
    for (const output of outputs)
      if (output.kind === 'sample' && output.quality === 'good') watch.take(output.channel, output.tUs, output.value);
  };
  const recomputed = recompute(entries, journal.countInputs(), progress, see, journal.resume);
  const wall = runs.find((run) => run.wall !== null)?.wall;
  return {
    journalId: journal.journalId,
    file: basename(job.file),
    id: job.id,
    label: job.label,
    startedUtcMs: job.startedUtcMs,
    closedUtcMs: job.closed?.utcMs ?? null,
    zone: { name: wall?.zone ?? 'UTC', offsetMin: wall?.offsetMin ?? 0 },
    runs: runs.map(({ run, utcMs, start }) => ({ run, utcMs, start })),
    outcomes,
    standing: standingAlarms(journal, job.startedEvent),
    overview: chartOf(views.find(({ reading }) => reading === null)),
    around: new Map(
      views.flatMap((view) => {
        const chart = chartOf(view);
        return view.reading === null || chart === null ? [] : [[view.reading, chart] as const];
      }),
    ),
    photos: photosFor(job.file, outcomes),
    checks: { chain, recomputed, signature: journal.signature },
    madeBy: made.by,
    madeUtcMs: made.utcMs,
  };
}

/** From the run that the job began in to the one that it ended in. */
function runsOf(journal: RecordFile, job: FoundJob): RunBeginning[] {
  const lastSeq = job.closed?.seq ?? Number.MAX_SAFE_INTEGER;
  return journal
    .runs()
    .filter(({ run, seq }) => run >= job.run && seq <= lastSeq)
    .flatMap(({ run }) => journal.beginning(run) ?? []);
}

function* until(entries: Iterable<Entry>, lastSeq: number | null): Generator<Entry> {
  for (const entry of entries) {
    if (lastSeq !== null && entry.kind === 'input' && entry.input.seq > lastSeq) return;
    yield entry;
  }
}

/** Those that were not normal when the job began, as they last changed. */
function standingAlarms(journal: RecordFile, startedEvent: number): DatedAlarm[] {
  const standing = new Map<string, DatedAlarm>();
  for (const { utcMs, outcome } of journal.outcomes({ kinds: ['alarm'], upTo: startedEvent - 1 })) {
    if (outcome.kind !== 'alarm') continue;
    const key = JSON.stringify([outcome.source, outcome.alarm]);
    if (outcome.stands === 'normal' || outcome.stands === 'suppressed') standing.delete(key);
    else standing.set(key, { utcMs, outcome });
  }
  return [...standing.values()];
}

/** A chart while it is being filled. */
interface View {
  /** Null for the chart of the whole job. */
  readonly reading: number | null;
  readonly levelChannel: string;
  readonly temperatureChannel: string;
  readonly level: Decimator;
  readonly temperature: Decimator;
  readonly window: Chart['window'];
  readonly gapMs: { readonly level: number; readonly temperature: number };
  readonly marks: readonly Mark[];
}

function viewsOf(
  job: FoundJob,
  outcomes: readonly DatedOutcome[],
  runs: readonly RunBeginning[],
  endUtcMs: number,
): View[] {
  const readings = outcomes.filter(({ outcome }) => outcome.kind === 'reading') as readonly {
    utcMs: number;
    outcome: OutcomeOf<'reading'>;
  }[];
  const dated = readings.filter(({ utcMs }) => utcMs > 0);
  const marks = dated.map(({ utcMs, outcome }) => markOf(utcMs, outcome.tUs, outcome.reading));
  const bench = runs.at(-1)?.start.bench;
  if (bench === undefined || job.startedUtcMs <= 0) return [];
  const view = (
    reading: number | null,
    from: number,
    to: number,
    shown: readonly Mark[],
    of: ReadingChannels,
  ): View => {
    const gap = (id: string) => (3.5 * (bench.channels.find((one) => one.id === id)?.intervalUs ?? 1e6)) / 1000;
    const bucketMs = (to - from) / ACROSS;
    return {
      reading,
      ...of,
      level: new Decimator(from, to, ACROSS),
      temperature: new Decimator(from, to, ACROSS),
      window: bench.measure.window,
      gapMs: { level: gap(of.levelChannel) + 2 * bucketMs, temperature: gap(of.temperatureChannel) + 2 * bucketMs },
      marks: shown,
    };
  };
  const around = dated.map(({ outcome }, i) => {
    const mark = marks[i] as Mark;
    const { levelChannel, temperatureChannel } = outcome.reading.basis;
    const spanMs = Math.max(LEAST_MS, mark.toUtcMs - mark.fromUtcMs);
    const [from, to] = [mark.fromUtcMs - BEFORE * spanMs, mark.toUtcMs + spanMs];
    return view(outcome.reading.id, from, to, [mark], { levelChannel, temperatureChannel });
  });
  const { levelChannel, temperatureChannel } = bench.measure;
  return [view(null, job.startedUtcMs, endUtcMs, marks, { levelChannel, temperatureChannel }), ...around];
}

type ReadingChannels = Pick<View, 'levelChannel' | 'temperatureChannel'>;

function markOf(utcMs: number, tUs: number, { id, fromUs, toUs, rawLevelMm }: Reading): Mark {
  return { reading: id, fromUtcMs: utcMs + (fromUs - tUs) / 1000, toUtcMs: utcMs + (toUs - tUs) / 1000, rawLevelMm };
}

/** Gives samples their date, by the anchors of their run, and hands them to the charts. */
class Dater {
  private anchor: Anchor | null = null;
  private readonly runs: readonly RunBeginning[];
  private readonly views: readonly View[];

  constructor(runs: readonly RunBeginning[], views: readonly View[]) {
    this.runs = runs;
    this.views = views;
  }

  see(run: number, input: InputOf<'run-start'> | InputOf<'wall'> | { readonly kind: string }): void {
    if (input.kind === 'run-start') {
      const utcMs = this.runs.find((one) => one.run === run)?.utcMs ?? 0;
      this.anchor = utcMs === 0 ? null : { run, tUs: 0, utcMs };
    } else if (input.kind === 'wall') this.anchor = anchorOf(run, input as InputOf<'wall'>);
  }

  take(channel: string, tUs: number, value: number): void {
    if (this.anchor === null) return;
    const utcMs = utcMsAt(this.anchor, this.anchor.run, tUs);
    for (const { levelChannel, temperatureChannel, level, temperature } of this.views) {
      if (channel === levelChannel) level.add(utcMs, value);
      if (channel === temperatureChannel) temperature.add(utcMs, value);
    }
  }
}

function chartOf(view: View | undefined): Chart | null {
  if (view === undefined) return null;
  const { level, temperature, levelChannel, temperatureChannel, gapMs, window, marks } = view;
  const series = (channel: string, of: Decimator, gap: number): Series => ({
    channel,
    buckets: of.buckets(),
    gapMs: gap,
  });
  const chart = {
    fromUtcMs: level.fromUtcMs,
    toUtcMs: level.toUtcMs,
    level: series(levelChannel, level, gapMs.level),
    temperature: series(temperatureChannel, temperature, gapMs.temperature),
    window,
    marks,
  };
  return chart.level.buckets.length + chart.temperature.buckets.length === 0 ? null : chart;
}
