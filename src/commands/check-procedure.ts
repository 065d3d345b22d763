/** What `stillwell check` says of procedures: of a file by itself, and of those that a bench names. */
import { formatMistakes } from '../config/format.ts';
import { loadProcedure } from '../config/load-procedure.ts';
import { notesOn } from '../config/procedure-fit.ts';
import { readProcedure, sameIds, shippedProcedures } from '../config/procedures.ts';
import type { BenchDescription } from '../core/description.ts';
import type { ProcedureDescription } from '../core/job/procedure.ts';
import { StillwellError } from '../errors.ts';
import { counted, type Out } from './out.ts';

/** A procedure file by itself. Answers the exit code: 0 for one without mistakes, else 1. */
export function checkProcedureFile(file: string, text: string, out: Out): number {
  const loaded = loadProcedure(text);
  if (!loaded.ok) {
    out.write(`${formatMistakes(file, text, loaded.mistakes)}\n`);
    out.write(`${file} has ${mistakes(loaded.mistakes.length)}.\n`);
    return 1;
  }
  const { procedure } = loaded;
  const holds = procedure.holds.map(({ id }) => id);
  const shipped = shippedProcedures().find((one) => one.procedure.id === procedure.id);
  const lines = [
    `${file} is good.`,
    '',
    `Procedure    ${procedure.title}`,
    `Name         ${procedure.id}, version ${procedure.version}`,
    `Result       ${procedure.result === 'level' ? 'a level at the reference temperature' : 'fluid at the lip, no millimetres'}`,
    `Steps        ${procedure.steps.length}, with ${counted(cautionsIn(procedure), 'caution')}`,
    ...(holds.length === 0 ? [] : [`Watched      ${holds.join(', ')}`]),
    ...(shipped === undefined || shipped.text === text
      ? []
      : ['', `A procedure that comes with the software has this name: no bench takes both. Give it one of its own.`]),
  ];
  out.write(`${lines.join('\n')}\n`);
  return 0;
}

/** Those that a bench names: every mistake in them, or what they are and what does not fit this bench. */
export function checkProceduresOf(
  bench: BenchDescription,
  files: readonly string[],
): { readonly ok: boolean; readonly words: string } {
  if (files.length === 0) return { ok: true, words: '' };
  const faults: string[] = [];
  const good: { file: string; procedure: ProcedureDescription }[] = [];
  for (const file of files) {
    const text = textOf(file, faults);
    if (text === null) continue;
    const loaded = loadProcedure(text);
    if (loaded.ok) good.push({ file, procedure: loaded.procedure });
    else
      faults.push(`${formatMistakes(file, text, loaded.mistakes)}\n${file} has ${mistakes(loaded.mistakes.length)}.`);
  }
  const shipped = shippedProcedures().map(({ procedure }) => procedure);
  const own = good.map(({ procedure }) => procedure);
  faults.push(
    ...sameIds(
      good.map(({ file }) => file),
      own,
      shipped,
    ),
  );
  if (faults.length > 0) return { ok: false, words: `${faults.join('\n')}\n` };
  const rows = own.flatMap((procedure) => [
    `${procedure.id}, version ${procedure.version}: ${procedure.title}, ${procedure.steps.length} steps`,
    ...notesOn(procedure, bench).map((note) => `  note: ${note}`),
  ]);
  return {
    ok: true,
    words: `${rows.map((row, index) => `${(index === 0 ? 'Procedures' : '').padEnd(13)}${row}`).join('\n')}\n`,
  };
}

function textOf(file: string, faults: string[]): string | null {
  try {
    return readProcedure(file);
  } catch (error) {
    if (!(error instanceof StillwellError)) throw error;
    faults.push(error.message);
    return null;
  }
}

export function cautionsIn({ cautions, steps }: ProcedureDescription): number {
  return cautions.length + steps.reduce((sum, step) => sum + step.cautions.length, 0);
}

function mistakes(count: number): string {
  return count === 1 ? 'one mistake' : `${count} mistakes`;
}
