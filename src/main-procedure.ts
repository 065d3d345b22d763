/** The part of the command line that is about procedures. */
import type { Command } from 'commander';
import type { Talk } from './commands/talk.ts';

/** `terminal`: where questions are asked. */
export function addProcedureCommands(program: Command, terminal: () => Promise<Talk>): void {
  const procedures = program
    .command('procedure')
    .description('the procedures that jobs go by: list, show, copy, or make one of your own');

  procedures
    .command('list')
    .description('those that come with the software')
    .action(async () => {
      const { listProcedures } = await import('./commands/procedure.ts');
      process.exitCode = listProcedures(process.stdout);
    });

  procedures
    .command('show <name>')
    .description('one in full, with its cautions: by its name, or a file')
    .action(async (name) => {
      const { showProcedure } = await import('./commands/procedure.ts');
      process.exitCode = showProcedure(name, process.stdout, process.stdout.columns);
    });

  procedures
    .command('new <file.yaml>')
    .description('ask a few questions and write a procedure of your own')
    .action(async (file) => {
      const { newProcedure } = await import('./commands/procedure-new.ts');
      const talk = await terminal();
      process.exitCode = await newProcedure(file, talk).finally(talk.close);
    });

  procedures
    .command('copy <name> <file.yaml>')
    .description('copy one under a name of its own, to be edited')
    .action(async (name, file) => {
      const { copyProcedure } = await import('./commands/procedure.ts');
      process.exitCode = copyProcedure(name, file, process.stdout);
    });
}
