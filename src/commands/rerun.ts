/** `stillwell rerun`: the bench on a CSV of any logger. */

import { createReadStream } from 'node:fs';
import { drivers } from '../../drivers/index.ts';
import { loadCalibrations } from '../calibrations/folder.ts';
import { formatMistakes } from '../config/format.ts';
import { loadBench } from '../config/load.ts';
import { StillwellError } from '../errors.ts';
import { CsvFault } from '../replay/csv-cells.ts';
import { rerun } from '../replay/rerun.ts';
import { counted } from './out.ts';
import { startFile } from './out-file.ts';
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
  const out = options.out === undefined ? null : startFile(options.out, [csv, options.bench]);
  let readings = 0;
  let changes = 0;
  try {
    const { rows, discarded, notes } = await rerun(
      createReadStream(csv),
      loaded.bench,
      drivers,
      (line) => {
        if ('reading' in line) readings++;
        else changes++;
        const text = `${JSON.stringify(line)}\n`;
        if (out === null) process.stdout.write(text);
        else out.write(text);
      },
      {
        calibrations: loadCalibrations(options.bench, loaded.bench),
        ...(options.time === undefined ? {} : { timeColumn: options.time }),
      },
    );
    out?.keep();
    const lost = Object.entries(discarded).map(([reason, count]) => `${count} ${reason}`);
    for (const note of notes) say.write(`note: ${note}\n`);
    say.write(
      `${counted(rows, 'row')}: ${counted(changes, 'change', 'changes')} of ready, ${counted(readings, 'reading')}`,
    );
    say.write(lost.length === 0 ? '\n' : `; discarded: ${lost.join(', ')}\n`);
    return 0;
  } catch (error) {
    if (!(error instanceof CsvFault) && (error as NodeJS.ErrnoException).code === undefined) throw error;
    throw new StillwellError('csv-unreadable', csv, (error as Error).message);
  } finally {
    out?.close();
  }
}
