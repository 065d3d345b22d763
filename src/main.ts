#!/usr/bin/env node
/** Command line entry: the only file that ends the process. */
import { Command, InvalidArgumentError, Option } from 'commander';
import { amountAt, doneDose, priorTyped } from './commands/amount-options.ts';
import type { AmountAt } from './commands/balance.ts';
import type { DoneDose } from './commands/dose.ts';
import { keptByNpm } from './commands/npm-options.ts';
import { CALIBRATION_KINDS } from './core/calibration/certificate.ts';
import { StillwellError } from './errors.ts';
import { addJobCommands } from './main-job.ts';
import { addProcedureCommands } from './main-procedure.ts';
import { addRecordCommands } from './main-records.ts';
import { SOFTWARE } from './software.ts';

const program = new Command('stillwell')
  .description(
    'Tells when a fluid level may be read, what it reads at the reference temperature, and how sure that is.',
  )
  .version(SOFTWARE)
  .showHelpAfterError('`stillwell help` lists the commands, `stillwell help run` what one takes.')
  .showSuggestionAfterError();

const port = new Option('--port <number>', 'port of the page; 0 for any free one').argParser((text) => {
  const value = Number(text);
  if (!/^\d+$/.test(text) || value > 65535) throw new InvalidArgumentError('It takes a number from 0 to 65535.');
  return value;
});
function wholeNumber(text: string): number {
  if (!/^\d{1,9}$/.test(text)) throw new InvalidArgumentError('It takes a whole number.');
  return Number(text);
}
const log = new Option('--log <level>', 'what is logged to standard error')
  .choices(['silent', 'error', 'warn', 'info', 'debug'])
  .default('warn');

program
  .command('demo')
  .description('run the demonstration bench: an invented machine, simulated boards, real ports')
  .addOption(port)
  .addOption(log)
  .addOption(new Option('--seed <number>', 'seed of the simulated noise').argParser(wholeNumber))
  .addOption(
    new Option('--instruments <kind>', 'what the boards speak').choices(['text', 'modbus', 'ble']).default('text'),
  )
  .option('--keep <folder>', 'keep the bench file and the record there')
  .action(async (options) => {
    const stopped = whenStopped();
    const { demo } = await import('./commands/demo.ts');
    await untilStopped(await demo(options, process.stdout), stopped);
  });

program
  .command('run <bench.yaml>')
  .description('run a bench of your own')
  .addOption(port)
  .addOption(log)
  .option('--journal <file>', 'where the record is kept (default: beside the bench file)')
  .action(async (file, options) => {
    const stopped = whenStopped();
    const { run } = await import('./commands/run.ts');
    const running = await run(file, options);
    process.stdout.write(`${running.name}: ${running.url}\nThe record: ${running.journal}\n`);
    await untilStopped(running, stopped);
  });

program
  .command('check <file.yaml>')
  .description('name every mistake in a bench file and the procedures it names, or in a procedure file')
  .action(async (file) => {
    const { check } = await import('./commands/check.ts');
    process.exitCode = await check(file, process.stdout);
  });

addProcedureCommands(program, atTerminal);
addJobCommands(program, port, {
  out: process.stdout,
  end: (exitCode) => {
    process.exitCode = exitCode;
  },
});

function someNumber(text: string): number {
  if (!/^-?\d{1,6}(\.\d{1,6})?$/.test(text)) throw new InvalidArgumentError('It takes a number such as 62.5.');
  return Number(text);
}

program
  .command('budget <bench.yaml>')
  .description('tell how sure the next reading would be, what makes it unsure, and what would help most')
  .addOption(new Option('--level <mm>', 'where the level would stand').argParser(someNumber))
  .addOption(new Option('--temperature <C>', 'how warm the fluid would be, in °C').argParser(someNumber))
  .action(async (file, options) => {
    const { budget } = await import('./commands/budget.ts');
    process.exitCode = budget(file, options, process.stdout);
  });

program
  .command('ports')
  .description(
    'list the serial ports with names that stay, and the Bluetooth LE devices in range; with --modbus, the slaves that answer at a port',
  )
  .option('--modbus <range>', 'ask slaves for a sign of life, such as 1-16; nothing is asked without it')
  .option('--at <port>', 'the port to ask at, or host:port (default: the only one)')
  .option('--baud <number>', 'speed of a serial port', wholeNumber)
  .addOption(new Option('--parity <kind>', 'check bit of a serial port').choices(['none', 'even', 'odd']))
  .option('--stop-bits <number>', 'stop bits of a serial port', wholeNumber)
  .addOption(new Option('--frames <kind>', 'how slaves are asked (default: tcp at host:port)').choices(['rtu', 'tcp']))
  .option('--within <ms>', 'how long to wait for each', wholeNumber)
  .action(async (options) => {
    if (options.modbus !== undefined) {
      const { portsModbus } = await import('./commands/ports-modbus.ts');
      process.exitCode = await portsModbus(options, process.stdout, whenStopped());
      return;
    }
    const { ports } = await import('./commands/ports.ts');
    process.exitCode = await ports(process.stdout);
  });

program
  .command('capture <port>')
  .description(
    'record what a port sends, byte by byte: a path or a Bluetooth address that `stillwell ports` lists, or host:port',
  )
  .requiredOption('--out <file>', 'where to: FILE.raw takes the bytes, FILE.json what and when')
  .option('--baud <number>', 'speed of a serial port', Number)
  .option('--notify <uuid...>', 'of a Bluetooth device: the characteristics whose values are recorded')
  .option('--text <uuid>', 'of a Bluetooth device: the characteristic that sends text')
  .option('--advertised', 'of a Bluetooth device: what it advertises, without a connection')
  .option('--seconds <number>', 'stop after so long (default: Ctrl-C)', Number)
  .action(async (from, options) => {
    const { capture } = await import('./commands/capture.ts');
    process.exitCode = await capture(from, options, process.stdout, whenStopped());
  });

program
  .command('driver-test <driver> <recording>')
  .description('hold a driver to everything that a driver must do, on a recording of `stillwell capture`')
  .option('--options <file.yaml>', 'the settings of the driver, as they stand beside `driver:` in a bench file')
  .action(async (driver, recording, options) => {
    const { driverTest } = await import('./commands/driver-test.ts');
    process.exitCode = await driverTest(driver, recording, options, process.stdout);
  });

function plainNumber(text: string): number {
  const value = Number(text);
  if (!/^[+-]?\d+(\.\d+)?$/.test(text)) throw new InvalidArgumentError('It takes a plain number.');
  return value;
}
function notNegative(text: string): number {
  const value = plainNumber(text);
  if (value < 0) throw new InvalidArgumentError('It takes a number that is not below 0.');
  return value;
}
function above0(text: string): number {
  const value = plainNumber(text);
  if (!(value > 0)) throw new InvalidArgumentError('It takes a number above 0.');
  return value;
}

program
  .command('calibrate <bench.yaml> <channel>')
  .description('guide through the calibration of a channel and keep its certificate')
  .addOption(new Option('--kind <kind>', 'what is done (default: asked)').choices([...CALIBRATION_KINDS]))
  .option('--points <file.csv>', 'points already taken, in place of live ones')
  .option('--degree <number>', 'of the correction (default: 0 for one point, else 1)', wholeNumber)
  .option('--reference <words>', 'the reference standard')
  .option('--reference-u <number>', 'what it adds to all points, standard uncertainty', notNegative)
  .option('--pressure <kPa>', 'by a barometer on the spot, for the boiling point', above0)
  .option('--pressure-u <kPa>', 'its standard uncertainty (default: 0.1)', notNegative)
  .option('--altitude <m>', 'in place of a barometer', plainNumber)
  .option('--temperature <°C>', 'of the fluid at an echo', plainNumber)
  .option('--temperature-u <K>', 'its standard uncertainty', notNegative)
  .option('--length <mm>', 'of successive echoes, or thickness of the block', above0)
  .option('--length-u <mm>', 'its standard uncertainty', notNegative)
  .option('--block-sound <m/s>', 'speed of sound in the block', above0)
  .option('--block-sound-u <m/s>', 'its standard uncertainty', notNegative)
  .option('--couplant <words>', 'what stood between an echo sensor and the wall or block')
  .option('--who <name>', 'who calibrates (default: the user of this computer)')
  .option('--due-days <number>', 'until it is due again', above0, 365)
  .option('--calm-s <seconds>', 'how long a live value must rest', above0, 10)
  .option('--patience-s <seconds>', 'how long a live value is waited for', above0, 600)
  .option('--yes', 'keep the certificate without asking')
  .action(async (file, channel, options) => {
    const { calibrate } = await import('./commands/calibrate.ts');
    const talk = await atTerminal();
    process.exitCode = await calibrate(file, channel, options, talk).finally(talk.close);
  });

program
  .command('strap [additions.csv]')
  .description('make a strapping table from known additions: prints the vessel section of a bench file')
  .option('--start <L>', 'in the vessel before the first row', notNegative, 0)
  .option('--start-u <L>', 'its standard uncertainty', notNegative, 0)
  .option('--measure-percent <%>', 'scale error of the measure that all additions were made with', notNegative, 0)
  .action(async (file, options) => {
    const { strap } = await import('./commands/strap.ts');
    const talk = await atTerminal();
    process.exitCode = await strap(file ?? null, options, talk).finally(talk.close);
  });

function typed<T>(read: (text: string) => T | null, such: string) {
  return (text: string): T => {
    const value = read(text);
    if (value === null) throw new InvalidArgumentError(`It takes ${such}.`);
    return value;
  };
}
const priorOption = () =>
  new Option('--prior <mm per litre,spread>', 'what a litre moves, in place of the vessel of the bench').argParser(
    typed(priorTyped, 'mm per litre and its spread, such as 9.5,1.2'),
  );

program
  .command('dose <bench.yaml>')
  .description('tell how much to add or drain next, why, and what is expected then')
  .requiredOption('--level <mm>', 'as the last reading told it', plainNumber)
  .requiredOption('--target <mm>', 'where it is to come', plainNumber)
  .option('--temperature <°C>', 'that both stand for (default: the reference of the bench)', plainNumber)
  .option('--pour-at <°C>', 'how warm the fluid is that is poured in', plainNumber, 20)
  .option('--drain-at <°C>', 'how warm it is when what was drained is measured (default: as the levels)', plainNumber)
  .option('--tolerance <mm>', 'in place of that of the bench', above0)
  .option('--scale', 'amounts in kg, as a scale in air shows them')
  .option('--step <L>', 'what can be poured or caught; kg with --scale', above0, 0.05)
  .option('--measure-percent <%>', 'scale error of the measure, standard uncertainty', notNegative, 1)
  .option('--each-u <L>', 'error of each dose by itself, standard uncertainty (default: from the step)', notNegative)
  .addOption(priorOption())
  .option(
    '--done <amount,before,after>',
    'a dose made before, below 0 drained, with the levels around it; may stand several times',
    (text: string, before: DoneDose[] | undefined) => [
      ...(before ?? []),
      typed(doneDose, 'an amount and two levels, such as --done=-0.4,64.0,61.2')(text),
    ],
  )
  .option('--closes-in <s>', 'until the window closes', above0)
  .option('--takes <s>', 'one dose with drain-back and reading', above0, 120)
  .action(async (file, options) => {
    const { dose } = await import('./commands/dose.ts');
    process.exitCode = dose(file, options, process.stdout);
  });

const listed = (text: string, before: AmountAt[] | undefined) => [
  ...(before ?? []),
  typed(amountAt, 'litres and their temperature, such as 4.1@62')(text),
];

program
  .command('balance <bench.yaml>')
  .description(
    'hold what was drained and filled in against the level; before it is read again, tell how much to fill in',
  )
  .option('--out <L@°C>', 'drained and caught; may stand several times, like the next three', listed)
  .option('--spilled <L@°C>', 'spilled', listed)
  .option('--left <L@°C>', 'left in old pan, hose, filter', listed)
  .option('--in <L@°C>', 'filled in', listed)
  .option('--before <mm>', 'level before', plainNumber)
  .option('--after <mm>', 'level after', plainNumber)
  .option('--level-u <mm>', 'of their difference, standard uncertainty', notNegative, 0.3)
  .option('--temperature <°C>', 'that the levels stand for (default: the reference of the bench)', plainNumber)
  .option('--pour-at <°C>', 'how warm the new fluid is', plainNumber, 20)
  .option('--measure-percent <%>', 'scale error of the measure, standard uncertainty', notNegative, 1)
  .option('--each-u <L>', 'error of each amount by itself, standard uncertainty', notNegative, 0.03)
  .addOption(priorOption())
  .option('--allowance <L>', 'that goes in besides: a dry filter, a small overfill', notNegative, 0)
  .option('--held <L>', 'all the fluid before the job, for the fresh share', above0)
  .option('--pick-up <mm>', 'level below which the pump draws air', plainNumber)
  .option('--takes <L>', 'what the machine takes when it starts', notNegative, 0)
  .action(async (file, options) => {
    const { balance } = await import('./commands/balance.ts');
    process.exitCode = balance(file, options, process.stdout);
  });

program
  .command('replay <journal>')
  .description('run a record through the same code again and compare every outcome')
  .action(async (file) => {
    const { replay } = await import('./commands/replay.ts');
    process.exitCode = await replay(file, process.stdout, process.stderr.isTTY ? process.stderr : null);
  });

addRecordCommands(program, wholeNumber);

program
  .command('rerun <csv>')
  .description("run a bench on another logger's data and write its outcomes as JSON lines")
  .requiredOption('--bench <bench.yaml>', 'the bench that says what the channels are')
  .option('--out <file>', 'where to (default: standard output)')
  .option('--time <column>', 'name of the time column (default: the first)')
  .action(async (csv, options) => {
    const { rerunCsv } = await import('./commands/rerun.ts');
    process.exitCode = await rerunCsv(csv, options, process.stderr);
  });

async function atTerminal() {
  const { talkWith } = await import('./commands/talk.ts');
  return talkWith(process.stdin, process.stdout);
}

function whenStopped(): Promise<void> {
  return new Promise<void>((resolve) => {
    process.once('SIGINT', () => resolve());
    process.once('SIGTERM', () => resolve());
    // The terminal was closed.
    process.once('SIGHUP', () => resolve());
  });
}

async function untilStopped(running: { stop(): Promise<void> }, stopped: Promise<void>): Promise<void> {
  await stopped;
  await running.stop();
  process.exit(0);
}

const hint = keptByNpm(process.env, process.argv.slice(3));
if (hint !== null) {
  process.stderr.write(`${hint}\n`);
  process.exit(1);
}

// Whoever read along has read enough, as `head` does.
process.stdout.on('error', (error: NodeJS.ErrnoException) => {
  if (error.code !== 'EPIPE') throw error;
  process.exit(0);
});

try {
  await program.parseAsync();
} catch (error) {
  process.stderr.write(error instanceof StillwellError ? `${error.message}\n` : `${(error as Error).stack}\n`);
  process.exit(1);
}
