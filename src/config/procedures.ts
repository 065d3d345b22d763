/** The procedures that a bench can go by: those that come with the software, and the files that the bench names. */
import { readdirSync, readFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import type { ProcedureDescription } from '../core/job/procedure.ts';
import { StillwellError } from '../errors.ts';
import { formatMistakes } from './format.ts';
import type { BenchSettings } from './load.ts';
import { loadProcedure } from './load-procedure.ts';
import type { Mistake } from './mistake.ts';

/** Beside the sources, also when run compiled. */
const SHIPPED = new URL(
  import.meta.url.endsWith('.ts') ? '../procedures/' : '../../../src/procedures/',
  import.meta.url,
);

export interface ProcedureFile {
  readonly file: string;
  readonly text: string;
  readonly procedure: ProcedureDescription;
}

let shipped: readonly ProcedureFile[] | null = null;

/** Those that come with the software, in the order of their names; read once. */
export function shippedProcedures(): readonly ProcedureFile[] {
  shipped ??= readdirSync(SHIPPED)
    .filter((name) => name.endsWith('.yaml'))
    .toSorted()
    .map((name) => wholeProcedure(fileURLToPath(new URL(name, SHIPPED))));
  return shipped;
}

/**
 * All procedures of a bench, those of the shop first.
 * @throws StillwellError procedure-unreadable, procedure-invalid with every mistake and its place
 */
export function loadProcedures(benchFile: string, settings: Pick<BenchSettings, 'procedures'>): ProcedureDescription[] {
  const coming = shippedProcedures().map(({ procedure }) => procedure);
  const own = settings.procedures.map(wholeProcedure).map(({ procedure }) => procedure);
  const clash = sameIds(settings.procedures, own, coming)[0];
  if (clash !== undefined) throw new StillwellError('procedure-invalid', benchFile, clash);
  return [...own, ...coming];
}

/** A procedure goes by its id in jobs and records: two of one id are told here, each in words. */
export function sameIds(
  files: readonly string[],
  own: readonly ProcedureDescription[],
  coming: readonly ProcedureDescription[],
): string[] {
  const taken = new Map(coming.map(({ id }) => [id, 'a procedure that comes with the software']));
  return own.flatMap(({ id }, index) => {
    const holder = taken.get(id);
    taken.set(id, files[index] ?? '');
    return holder === undefined
      ? []
      : [`${files[index]}: the name "${id}" belongs to ${holder}; give this one a name of its own after "procedure:"`];
  });
}

/** @throws StillwellError procedure-unreadable, procedure-invalid */
export function wholeProcedure(file: string): ProcedureFile {
  const text = readProcedure(file);
  const loaded = loadProcedure(text);
  if (!loaded.ok) throw invalid(file, text, loaded.mistakes);
  return { file, text, procedure: loaded.procedure };
}

/** @throws StillwellError procedure-unreadable */
export function readProcedure(file: string): string {
  try {
    return readFileSync(file, 'utf8');
  } catch (error) {
    throw new StillwellError('procedure-unreadable', file, (error as Error).message);
  }
}

function invalid(file: string, text: string, mistakes: readonly Mistake[]): StillwellError {
  return new StillwellError('procedure-invalid', file, formatMistakes(file, text, mistakes));
}
