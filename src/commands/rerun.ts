/** `stillwell rerun`: the bench on a CSV of any logger. */

import { once } from 'node:events';
import { createReadStream, createWriteStream } from 'node:fs';
import { drivers } from '../../drivers/index.ts';
import { formatMistakes } from '../config/format.ts';
import { loadBench } from '../config/load.ts';
import { StillwellError } from '../errors.ts';
import { CsvFault, rerun } from '../replay/rerun.ts';
import { readBench } from './run.ts';

export interface RerunCommand {
  readonly bench: string;
  readonly out?: string;
  readonly time?: string;
}

export async function rerunCsv(csv: string, options: RerunCommand, say: NodeJS.WritableStream): Promise<number> {
  const text = readBench(options.bench);
  const loaded = loadBench(text, options.bench, drivers);
  if (!loaded.ok)
    throw new StillwellError('config-invalid', options.bench, formatMistakes(options.bench, text, loaded.mistakes));
  const out = options.out === undefined ? process.stdout : createWriteStream(options.out);
  let readings = 0;
  let changes = 0;
  try {
    const { rows, discarded } = await rerun(
      createReadStream(csv),
      loaded.bench,
      drivers,
      (line) => {
        if ('reading' in line) readings++;
        else changes++;
        out.write(`${JSON.stringify(line)}\n`);
      },
      options.time === undefined ? {} : { timeColumn: options.time },
    );
    const lost = Object.entries(discarded).map(([reason, count]) => `${count} ${reason}`);
    say.write(`${rows} rows: ${changes} changes of ready, ${readings} readings`);
    say.write(lost.length === 0 ? '\n' : `; discarded: ${lost.join(', ')}\n`);
    return 0;
  } catch (error) {
    if (!(error instanceof CsvFault) && (error as NodeJS.ErrnoException).code === undefined) throw error;
    throw new StillwellError('csv-unreadable', csv, (error as Error).message);
  } finally {
    if (out !== process.stdout) {
      out.end();
      await once(out, 'finish');
    }
  }
}
