/** `stillwell records`: the jobs of one journal or several. */
import { StillwellError } from '../errors.ts';
import { localText } from '../report/times.ts';
import { type FoundJob, jobsIn, journalsAt } from './jobs.ts';
import { counted, type Out } from './out.ts';

export interface RecordsOptions {
  readonly number?: number;
  readonly label?: string;
  /** Days as 2031-03-04, local to this computer, both within. */
  readonly from?: string;
  readonly to?: string;
  readonly open?: boolean;
  readonly closed?: boolean;
}

/** Exit codes: 0 found, 1 nothing fits. `zone` is that of this computer. */
export function records(places: readonly string[], options: RecordsOptions, zone: string, out: Out): number {
  const files = journalsAt(places);
  if (files.length === 0)
    throw new StillwellError(
      'journal-unreachable',
      places.join(', ') || '.',
      'no file there ends in .journal or .sealed',
    );
  const all = jobsIn(files, (words) => out.write(`note: ${words}\n`));
  const found = all.filter((job) => fits(job, options, zone));
  if (found.length === 0) {
    out.write(`no job ${all.length === 0 ? 'is' : `of ${all.length} fits`} in ${counted(files.length, 'journal')}\n`);
    return 1;
  }
  const rows = [HEAD, ...found.map((job) => row(job, zone))];
  const widths = HEAD.map((_, i) => Math.max(...rows.map((cells) => [...(cells[i] ?? '')].length)));
  for (const cells of rows)
    out.write(
      `${cells
        .map((cell, i) => cell.padEnd(widths[i] ?? 0))
        .join('  ')
        .trimEnd()}\n`,
    );
  out.write(`times: ${zone}\n`);
  return 0;
}

const HEAD = ['job', 'started', 'closed', 'readings', 'last reading', 'verdict', 'label', 'journal'];

function row({ id, label, startedUtcMs, closed, readings, lastReading, lastVerdict, file }: FoundJob, zone: string) {
  const when = (utcMs: number) => localText(utcMs, { name: zone, offsetMin: 0 }).slice(0, 16);
  const level = lastReading === null ? '–' : `${lastReading.words.level} at ${lastReading.referenceC} °C`;
  const verdict = lastVerdict === null ? '–' : lastVerdict.accepted === null ? lastVerdict.result : 'accepted';
  const shown = label === '' ? '–' : label.replace(/\p{C}/gu, ' ');
  return [
    String(id),
    when(startedUtcMs),
    closed === null ? 'open' : when(closed.utcMs),
    String(readings),
    level,
    verdict,
    shown,
    file,
  ];
}

function fits(job: FoundJob, { number, label, from, to, open, closed }: RecordsOptions, zone: string): boolean {
  if (number !== undefined && job.id !== number) return false;
  if (label !== undefined && !job.label.toLocaleLowerCase().includes(label.toLocaleLowerCase())) return false;
  if (open === true && job.closed !== null) return false;
  if (closed === true && job.closed === null) return false;
  if (from === undefined && to === undefined) return true;
  if (job.startedUtcMs <= 0) return false;
  // A job fits when any day of it is within.
  const day = (utcMs: number) => localText(utcMs, { name: zone, offsetMin: 0 }).slice(0, 10);
  const last = job.closed === null ? '9999' : day(job.closed.utcMs);
  return (from === undefined || last >= from) && (to === undefined || day(job.startedUtcMs) <= to);
}
