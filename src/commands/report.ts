/** `stillwell report JOB`: one job as one HTML file, and as PDF where that is asked for. */
import { StillwellError } from '../errors.ts';
import { openRecord } from '../journal/record-file.ts';
import { passes } from '../report/head.ts';
import { reportPage } from '../report/page.ts';
import type { Paper } from '../report/style.ts';
import { gatherJob, type Made } from './gather.ts';
import { type FoundJob, jobsIn, journalsAt } from './jobs.ts';
import type { Out } from './out.ts';
import { startFile } from './out-file.ts';
import { findBrowser, printPdf } from './print-pdf.ts';
import { progressOn } from './progress.ts';

export interface ReportOptions {
  /** Where the HTML goes; by default job-N.html here. */
  readonly out?: string;
  readonly paper?: Paper;
  /** Also a PDF: true for the same name, or where to. */
  readonly pdf?: true | string;
  readonly browser?: string;
}

/** Exit codes: 0 written, 3 written of a record that does not pass its checks. */
export function report(
  wanted: string,
  places: readonly string[],
  options: ReportOptions,
  made: Made,
  out: Out,
  terminal: Out | null,
): number {
  const files = journalsAt(places);
  if (files.length === 0)
    throw new StillwellError(
      'journal-unreachable',
      places.join(', ') || '.',
      'no file there ends in .journal or .sealed',
    );
  const browser = options.pdf === undefined ? null : browserFor(options.browser);
  const job = theOne(
    wanted,
    jobsIn(files, (words) => out.write(`note: ${words}\n`)),
    places.join(', ') || '.',
  );
  const target = options.out ?? `job-${job.id}.html`;
  const progress = progressOn(terminal);
  const journal = openRecord(job.file);
  try {
    const record = gatherJob(journal, job, made, progress);
    progress.end();
    const paper = options.paper ?? (options.pdf === undefined ? null : 'a4');
    const file = startFile(target, [job.file]);
    try {
      file.write(reportPage(record, paper));
      file.keep();
    } finally {
      file.close();
    }
    out.write(`${target}\n`);
    if (browser !== null) {
      const pdf = typeof options.pdf === 'string' ? options.pdf : `${target.replace(/\.html?$/i, '')}.pdf`;
      printPdf(browser, target, pdf);
      out.write(`${pdf}\n`);
    }
    if (passes(record.checks)) return 0;
    out.write(
      `This record does not pass its checks; the report says why. \`stillwell verify ${job.file}\` tells more.\n`,
    );
    return 3;
  } finally {
    progress.end();
    journal.close();
  }
}

function browserFor(named: string | undefined): string {
  const browser = named ?? findBrowser(process.env.PATH ?? '');
  if (browser === null) throw new StillwellError('print-failed', '--pdf', 'there is no Chromium in the search path');
  return browser;
}

/** By its number, or by its label where that fits one job only. */
function theOne(wanted: string, jobs: readonly FoundJob[], where: string): FoundJob {
  const numbered = /^\d{1,9}$/.test(wanted) ? jobs.filter(({ id }) => id === Number(wanted)) : [];
  const exactly = jobs.filter(({ label }) => label === wanted);
  const partly = jobs.filter(({ label }) => label.toLocaleLowerCase().includes(wanted.toLocaleLowerCase()));
  const fitting = [numbered, exactly, partly].find((some) => some.length > 0) ?? [];
  const [job] = fitting;
  if (job !== undefined && fitting.length === 1) return job;
  if (job === undefined) throw new StillwellError('job-unknown', where, `"${wanted}", among ${jobs.length}`);
  const list = fitting.map(({ id, label, file }) => `  job ${id} of ${file}: ${label}`);
  throw new StillwellError('job-unknown', where, `"${wanted}" fits ${fitting.length}:\n${list.join('\n')}`);
}
