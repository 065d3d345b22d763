/** The part of the command line that reads records: find, report, export, verify. */
import { type Command, InvalidArgumentError, Option } from 'commander';
import { SOFTWARE } from './software.ts';

export function addRecordCommands(program: Command, wholeNumber: (text: string) => number): void {
  program
    .command('verify <record>')
    .description(
      'tell whether a journal or a sealed job can be relied on: is its chain intact, do its readings come out the same from the frames',
    )
    .option('--key <file>', 'of a sealed job: the public key that it must be signed with, kept elsewhere')
    .option('--journal <file>', 'of a sealed job: whether this journal still says the same')
    .action(async (file, options) => {
      const { verify } = await import('./commands/verify.ts');
      process.exitCode = verify(file, options, process.stdout, onTerminal());
    });

  program
    .command('records [journals...]')
    .description('find jobs in journals, or in folders of them (default: this folder)')
    .option('--number <number>', 'of the job', wholeNumber)
    .option('--label <text>', 'that the label holds')
    .option('--procedure <name>', 'that it went by: its name, or part of its title')
    .option('--machine-type <text>', 'that the kind of machine holds')
    .option(
      '--field <name=text>',
      'that a field of customer or machine holds; may stand several times',
      (text: string, before: string[] | undefined) => [...(before ?? []), text],
    )
    .option('--from <day>', 'not over before this day, such as 2031-03-04', day)
    .option('--to <day>', 'begun on this day at the latest', day)
    .addOption(new Option('--open', 'still open').conflicts('closed'))
    .option('--closed', 'closed')
    .action(async (journals, options) => {
      const { records } = await import('./commands/records.ts');
      process.exitCode = records(journals, options, (await thisClock()).zone().name, process.stdout);
    });

  program
    .command('report <job> [journals...]')
    .description(
      'write one job, by number or label, as one HTML file that prints well; from a journal or a folder of them',
    )
    .option('--out <file>', 'where to (default: job-NUMBER.html)')
    .addOption(
      new Option('--paper <size>', 'size of the pages (default: what the printer has; a4 for PDF)').choices([
        'a4',
        'letter',
      ]),
    )
    .option('--pdf [file]', 'a PDF too, by a Chromium of this computer')
    .option('--browser <path>', 'the Chromium that prints (default: from the search path)')
    .action(async (job, journals, options) => {
      const { report } = await import('./commands/report.ts');
      const made = { by: SOFTWARE, utcMs: (await thisClock()).utcMs() };
      process.exitCode = report(job, journals, options, made, process.stdout, onTerminal());
    });

  program
    .command('export <journal>')
    .description('write what a record holds for other programs')
    .addOption(new Option('--as <form>', 'form of the file').choices(['csv', 'senml', 'jsonl']).default('csv'))
    .addOption(
      new Option('--what <kind>', 'what is written').choices(['samples', 'readings', 'outcomes']).default('samples'),
    )
    .option('--job <number>', 'of one job only', wholeNumber)
    .option('--channel <names...>', 'samples of these channels only')
    .option('--out <file>', 'where to (default: standard output)')
    .action(async (file, options) => {
      const { exportRecord } = await import('./commands/export.ts');
      process.exitCode = await exportRecord(file, options, process.stdout, process.stderr, onTerminal());
    });
}

function day(text: string): string {
  const [year, month, date] = text.split('-').map(Number);
  const utc = new Date(Date.UTC(year ?? 0, (month ?? 0) - 1, date));
  if (!/^\d{4}-\d{2}-\d{2}$/.test(text) || utc.toISOString().slice(0, 10) !== text)
    throw new InvalidArgumentError('It takes a day such as 2031-03-04.');
  return text;
}

function onTerminal() {
  return process.stderr.isTTY ? process.stderr : null;
}

async function thisClock() {
  const { realClock } = await import('./links/clock.ts');
  return realClock();
}
