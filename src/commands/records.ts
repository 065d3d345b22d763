/** `stillwell records`: the jobs of one journal or several. */
import { StillwellError } from '../errors.ts';
import { localText } from '../report/times.ts';
import { type FoundJob, jobsIn, journalsAt } from './jobs.ts';
import { counted, type Out } from './out.ts';

export interface RecordsOptions {
  readonly number?: number;
  readonly label?: string;
  /** That its id is, or its title holds. */
  readonly procedure?: string;
  readonly machineType?: string;
  /** `machine=PP 4`: the field holds the text; without a name, any field does. */
  readonly field?: readonly string[];
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

function fits(job: FoundJob, options: RecordsOptions, zone: string): boolean {
  const { number, label, from, to, open, closed } = options;
  if (number !== undefined && job.id !== number) return false;
  if (label !== undefined && !holds(job.label, label)) return false;
  if (!fitsWork(job, options)) return false;
  if (open === true && job.closed !== null) return false;
  if (closed === true && job.closed === null) return false;
  if (from === undefined && to === undefined) return true;
  if (job.startedUtcMs <= 0) return false;
  // A job fits when any day of it is within.
  const day = (utcMs: number) => localText(utcMs, { name: zone, offsetMin: 0 }).slice(0, 10);
  const last = job.closed === null ? '9999' : day(job.closed.utcMs);
  return (from === undefined || last >= from) && (to === undefined || day(job.startedUtcMs) <= to);
}

function fitsWork(job: FoundJob, { procedure, machineType, field = [] }: RecordsOptions): boolean {
  const [id, title] = job.procedure;
  if (procedure !== undefined && id !== procedure && !holds(title ?? '', procedure)) return false;
  if (machineType !== undefined && !holds(job.machineType, machineType)) return false;
  return field.every((wanted) => {
    const at = wanted.indexOf('=');
    if (at < 1) return Object.values(job.fields).some((value) => holds(value, wanted));
    return holds(job.fields[wanted.slice(0, at)] ?? '', wanted.slice(at + 1));
  });
}

function holds(text: string, part: string): boolean {
  return part !== '' && text.toLocaleLowerCase().includes(part.toLocaleLowerCase());
}
