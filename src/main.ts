#!/usr/bin/env node
/** Command line entry: the only file that ends the process. */
import { Command, InvalidArgumentError, Option } from 'commander';
import { StillwellError } from './errors.ts';
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
  .addOption(new Option('--instruments <kind>', 'what the boards speak').choices(['text', 'ble']).default('text'))
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
  .command('check <bench.yaml>')
  .description('name every mistake in a bench file')
  .action(async (file) => {
    const { check } = await import('./commands/check.ts');
    process.exitCode = await check(file, process.stdout);
  });

program
  .command('ports')
  .description('list the serial ports with names that stay, and the Bluetooth LE devices in range')
  .action(async () => {
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

program
  .command('replay <journal>')
  .description('run a record through the same code again and compare every outcome')
  .action(async (file) => {
    const { replay } = await import('./commands/replay.ts');
    process.exitCode = await replay(file, process.stdout, process.stderr.isTTY ? process.stderr : null);
  });

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

try {
  await program.parseAsync();
} catch (error) {
  process.stderr.write(error instanceof StillwellError ? `${error.message}\n` : `${(error as Error).stack}\n`);
  process.exit(1);
}
