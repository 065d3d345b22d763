/** `stillwell run`: one bench, from its file to the page. */
import { createHash } from 'node:crypto';
import { existsSync, readdirSync, readFileSync } from 'node:fs';
import { resolve } from 'node:path';
import { fileURLToPath } from 'node:url';
import pino from 'pino';
import { drivers } from '../../drivers/index.ts';
import { startBench } from '../bench.ts';
import { loadCalibrations } from '../calibrations/folder.ts';
import { formatMistakes } from '../config/format.ts';
import { loadBench } from '../config/load.ts';
import { loadProcedures } from '../config/procedures.ts';
import { StillwellError } from '../errors.ts';
import { startFeed } from '../feed/server.ts';
import type { FeedSource } from '../feed/source.ts';
import { openJournal } from '../journal/journal.ts';
import { Photos, photosOf } from '../journal/photos.ts';
import { type FromSealer, startSealer } from '../journal/sealed/sealer.ts';
import { bluez } from '../links/bluez.ts';
import { realClock } from '../links/clock.ts';
import { doorFor } from '../links/make.ts';
import { listPorts } from '../links/ports.ts';
import { supervise } from '../links/supervise.ts';
import { SOFTWARE } from '../software.ts';
import { readableLine } from './log-line.ts';

export interface RunOptions {
  readonly port?: number;
  readonly journal?: string;
  readonly log: string;
  /** Where the Bluetooth service is, as in DBUS_SYSTEM_BUS_ADDRESS; without it, on the system bus. */
  readonly bluetoothBus?: string;
}

export interface Running {
  readonly url: string;
  readonly name: string;
  readonly journal: string;
  /** What the bench says and knows. */
  readonly source: FeedSource;
  stop(): Promise<void>;
}

/** Starts everything; throws StillwellError with words for a person. */
export async function run(file: string, options: RunOptions): Promise<Running> {
  const text = readBench(file);
  const loaded = loadBench(text, file, drivers);
  if (!loaded.ok) throw new StillwellError('config-invalid', file, formatMistakes(file, text, loaded.mistakes));
  const { bench, settings } = loaded;
  const log = pino({ level: options.log }, logTo(process.stderr));
  const clock = realClock();
  const journalPath = resolve(
    options.journal ?? settings.journal ?? `${resolve(file).replace(/\.ya?ml$/, '')}.journal`,
  );
  const sealer = startSealer(journalPath, SOFTWARE, (message) => tellSealing(log, message));
  const photos = new Photos(photosOf(journalPath));
  const running = await startBench({
    bench,
    drivers,
    driverDigests: digestDrivers(bench.instruments.map(({ driver }) => driver)),
    software: SOFTWARE,
    calibrations: loadCalibrations(file, bench),
    procedures: loadProcedures(file, settings),
    clock,
    log,
    hasPhoto: (sha256) => photos.has(sha256),
    openJournal: (events) => openJournal(journalPath, events),
    onJobClosed: () => sealer.look(),
    openLink: ({ driver, options: settings, link, intervalUs, id }, onEvent) =>
      supervise({
        door: doorFor(link, clock, {}, listPorts, bluez(options.bluetoothBus)),
        instrument: id,
        framing: (drivers[driver] as (typeof drivers)[string]).framing(settings),
        clock,
        intervalUs,
        onEvent,
      }),
  });
  // What was closed and not sealed when the last run ended.
  sealer.look();
  try {
    const feed = await startFeed({
      source: running,
      pageDir: pageDir(),
      host: '127.0.0.1',
      port: options.port ?? settings.port ?? 8720,
      log,
      clock,
      photos,
    });
    return {
      url: feed.url,
      name: bench.name,
      journal: journalPath,
      source: running,
      async stop() {
        await feed.close();
        await sealer.close();
        await running.stop();
      },
    };
  } catch (error) {
    await sealer.close();
    await running.stop();
    throw error;
  }
}

function tellSealing(log: pino.Logger, message: FromSealer): void {
  if (message.say === 'made-key') {
    const { file, publicFile, fingerprint } = message;
    log.info({ file, publicFile, fingerprint }, 'a key that signs closed jobs was made');
  } else if (message.say === 'sealed') log.info({ job: message.job, file: message.file }, 'a closed job is sealed');
  else log.error({ code: message.code }, message.words);
}

/** Lines for the eye on a terminal, JSON for anything else; written at once, so that none is lost at an end. */
function logTo(err: NodeJS.WriteStream): pino.DestinationStream {
  const file = pino.destination({ dest: 2, sync: true });
  return err.isTTY ? { write: (line) => void file.write(readableLine(line)) } : file;
}

export function readBench(file: string): string {
  try {
    return readFileSync(file, 'utf8');
  } catch (error) {
    throw new StillwellError('config-unreadable', file, (error as Error).message);
  }
}

/** The page as built; beside the compiled sources, or in dist when run from the sources. */
function pageDir(): string {
  const beside = fileURLToPath(new URL('../../page/', import.meta.url));
  return existsSync(beside) ? beside : fileURLToPath(new URL('../../dist/page/', import.meta.url));
}

/** Of all sources in the driver's folder, in the order of their names. */
function digestDrivers(names: readonly string[]): Record<string, string> {
  const extension = import.meta.url.endsWith('.ts') ? '.ts' : '.js';
  return Object.fromEntries(
    [...new Set(names)].sort().map((name) => {
      const folder = new URL(`../../drivers/${name}/`, import.meta.url);
      const sources = readdirSync(folder).filter((file) => file.endsWith(extension));
      const hash = createHash('sha256');
      for (const file of sources.sort()) hash.update(`${file}\n`).update(readFileSync(new URL(file, folder)));
      return [name, hash.digest('hex')];
    }),
  );
}
