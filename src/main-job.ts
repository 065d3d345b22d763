/** The part of the command line that leads a job on the bench that runs. */
import { Argument, type Command, InvalidArgumentError, type Option } from 'commander';
import type { JobCommand, JobOptions } from './commands/job.ts';
import type { Out } from './commands/out.ts';

const EXIT_CODES = `
Values carry their unit: "62 °C", "350 mL", "3.2 kg". What is refused says why and what to do.
Exit codes: 0 done, 1 not understood or no bench answers, 2 refused by the bench.`;

function eventNumber(text: string): number {
  if (!/^\d{1,9}$/.test(text)) throw new InvalidArgumentError('It takes the number of an event.');
  return Number(text);
}
const several = (text: string, before: readonly string[] = []) => [...before, text];

export interface JobEnds {
  readonly out: Out;
  readonly end: (exitCode: number) => void;
}

/** `port`: of the page. */
export function addJobCommands(program: Command, port: Option, { out, end }: JobEnds): void {
  const job = program
    .command('job')
    .description('tell where the job on the running bench stands, and what comes next')
    .addOption(port)
    .option('--bench <bench.yaml>', 'the bench file, for its port')
    .option('--as <name>', 'who acts (default: the user of this computer)')
    .addHelpText('after', EXIT_CODES)
    .action(on((command) => command.stands()));

  /** The bench and who acts stand anywhere in the line. */
  function on(does: (command: JobCommand, ...typed: never[]) => Promise<number>) {
    return async (...typed: unknown[]) => {
      const { JobCommand } = await import('./commands/job.ts');
      const command = new JobCommand(job.opts<JobOptions>(), out);
      end(await does(command, ...(typed as never[])));
    };
  }
  const words = (parts: readonly string[]) => parts.join(' ');

  job
    .command('start')
    .description('begin a job')
    .option('--procedure <name>', 'that it goes by; without one, a job without steps')
    .option('--label <words>', 'its label')
    .option('--machine-type <name>', 'what the shop calls machines of this kind')
    .option('--field <name=value>', 'of customer and machine; may stand several times', several)
    .action(on((command, options: object) => command.start(options)));
  job
    .command('tick [numbers...]')
    .description('tick points of the list, by number, or all')
    .option('--note <words>', 'kept with the step')
    .option('--photo <file>', 'kept with the step; may stand several times', several)
    .action(on((command, numbers: string[], options: object) => command.tick(numbers, options)));
  job
    .command('done')
    .description('say that the step is done: that was all that was poured, caught or entered')
    .option('--note <words>', 'kept with the step')
    .action(on((command, options: object) => command.done(options)));
  job
    .command('enter <name> <value...>')
    .description('enter a value that the step asks for')
    .option('--although <reason>', 'why it stands although it is not what it should be')
    .action(
      on((command, name: string, value: string[], options: object) => command.enter(name, words(value), options)),
    );
  for (const [kind, what] of [
    ['in', 'poured in'],
    ['out', 'caught'],
    ['spilled', 'spilled'],
    ['left', 'left in old pan or hoses'],
  ] as const)
    job
      .command(`${kind} <amount...>`)
      .description(`tell what was ${what}`)
      .option('--with <measure>', 'what it was measured by (default: the first of the step)')
      .option('--at <temperature>', 'how warm it was as it was measured')
      .action(on((command, amount: string[], options: object) => command.amount(kind, words(amount), options)));
  job
    .command('answer <answer...>')
    .description('answer the question of the step')
    .option('--note <words>', 'kept with the answer')
    .action(on((command, answer: string[], options: object) => command.answer(words(answer), options)));
  job
    .command('read')
    .description('take a reading')
    .option('--anyway <reason>', 'although a gate is shut; the reading is marked')
    .action(on((command, options: object) => command.read(options)));
  job
    .command('accept <reason...>')
    .description('take a verdict as good that this bench cannot settle')
    .action(
      on((command, reason: string[]) => command.plainly({ type: 'accept', reason: words(reason) }, 'Taken as good.')),
    );
  job
    .command('zero <mm...>')
    .description('check the zero: what the sensor ought to show on its block')
    .action(on((command, mm: string[]) => command.zero(words(mm))));
  job
    .command('skip <reason...>')
    .description('leave the step out')
    .action(on((command, reason: string[]) => command.skip(words(reason))));
  job
    .command('back <step> <reason...>')
    .description('go back to a step that was done, by its name or number')
    .action(on((command, step: string, reason: string[]) => command.back(step, words(reason))));
  job
    .command('engine')
    .description('tell that the engine was switched on or off between the steps')
    .addArgument(new Argument('<state>').choices(['on', 'off']))
    .action(
      on((command, state: string) => {
        const running = state === 'on';
        return command.plainly({ type: 'engine', running }, `The engine ${running ? 'runs' : 'stands still'}.`);
      }),
    );
  job
    .command('note <words...>')
    .description('keep words in the record')
    .action(on((command, text: string[]) => command.plainly({ type: 'note', text: words(text) }, 'Noted.')));
  job
    .command('pause <reason...>')
    .description('pause the job')
    .action(
      on((command, reason: string[]) => command.plainly({ type: 'pause-job', reason: words(reason) }, 'Paused.')),
    );
  job
    .command('resume')
    .description('go on with a paused job')
    .action(on((command) => command.plainly({ type: 'resume-job' }, 'It goes on.')));
  job
    .command('correct')
    .addArgument(new Argument('<event>', 'number of what is corrected').argParser(eventNumber))
    .argument('<value...>', 'what it ought to be')
    .description('tell an entry or amount anew; 0 takes an amount back, and the record keeps both')
    .option('--with <measure>', 'of an amount')
    .option('--at <temperature>', 'of an amount')
    .option('--although <reason>', 'why an entry stands although it is not what it should be')
    .action(
      on((command, event: number, value: string[], options: object) => command.correct(event, words(value), options)),
    );
  job
    .command('close')
    .description('close the job; the record is sealed')
    .option('--unfinished <reason>', 'why it ends here although steps are left')
    .action(on((command, options: object) => command.plainly({ type: 'close-job', ...options }, 'The job is closed.')));
}
