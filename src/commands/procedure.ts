/** `stillwell procedure`: which procedures there are, one of them in full, and a copy to be changed. */
import { existsSync, writeFileSync } from 'node:fs';
import { basename } from 'node:path';
import { nearest } from '../config/mistake.ts';
import { renamed } from '../config/procedure-edit.ts';
import { type ProcedureFile, shippedProcedures, wholeProcedure } from '../config/procedures.ts';
import { ID_FORM, isId, properId } from '../config/schema.ts';
import { StillwellError } from '../errors.ts';
import { cautionsIn } from './check-procedure.ts';
import { counted, type Out } from './out.ts';
import { shownProcedure } from './procedure-words.ts';

export function listProcedures(out: Out): number {
  const rows = shippedProcedures().map(({ procedure }) => {
    const { id, title, version, steps } = procedure;
    return `${id.padEnd(22)}${title}\n${''.padEnd(22)}version ${version}, ${counted(steps.length, 'step')}, ${counted(cautionsIn(procedure), 'caution')}\n`;
  });
  out.write(
    `${rows.join('')}\n\`stillwell procedure show NAME\` shows one, \`stillwell procedure new FILE\` makes one of your own.\n`,
  );
  return 0;
}

/** @throws StillwellError procedure-unknown, procedure-unreadable, procedure-invalid */
export function showProcedure(name: string, out: Out, columns = 100): number {
  out.write(shownProcedure(procedureNamed(name).procedure, columns));
  return 0;
}

/** @throws StillwellError procedure-unknown, procedure-unwritten */
export function copyProcedure(name: string, file: string, out: Out): number {
  const from = procedureNamed(name);
  const id = nameFor(file);
  const { procedure } = from;
  writeNew(file, renamed(from.text, id, `${procedure.id}, version ${procedure.version}`, basename(file)));
  out.write(written(file, id));
  return 0;
}

/** One that comes with the software, by its name, or the one in a file. */
export function procedureNamed(name: string): ProcedureFile {
  const shipped = shippedProcedures();
  const known = shipped.find(({ procedure }) => procedure.id === name);
  if (known !== undefined) return known;
  if (existsSync(name) || /[\\/]|\.ya?ml$/.test(name)) return wholeProcedure(name);
  const names = shipped.map(({ procedure }) => procedure.id);
  const meant = nearest(name, names);
  throw new StillwellError('procedure-unknown', name, meant === null ? names.join(', ') : `did you mean ${meant}?`);
}

/** The name that a procedure gets from its file; never that of a shipped one. */
export function nameFor(file: string): string {
  const id = properId(basename(file).replace(/\.[^.]*$/, ''));
  if (id === null) throw new StillwellError('procedure-unwritten', file, `no name comes of this one: ${ID_FORM}`);
  const fault = nameFault(id);
  if (fault !== null) throw new StillwellError('procedure-unwritten', file, fault);
  return id;
}

export function nameFault(id: string): string | null {
  if (!isId(id)) return `a name has ${ID_FORM}`;
  return shippedProcedures().some(({ procedure }) => procedure.id === id)
    ? `"${id}" is the name of a procedure that comes with the software; a copy takes its own`
    : null;
}

/** Never over a file that is there. */
export function writeNew(file: string, text: string): void {
  try {
    writeFileSync(file, text, { flag: 'wx' });
  } catch (error) {
    const there = (error as NodeJS.ErrnoException).code === 'EEXIST';
    throw new StillwellError('procedure-unwritten', file, there ? 'it is there already' : (error as Error).message);
  }
}

export function written(file: string, id: string): string {
  return [
    `${file} holds the procedure ${id} now. Lines marked YOUR FIGURE wait for the figures of your machine.`,
    `  stillwell check ${file}`,
    `Jobs can go by it once the bench file names it:`,
    `  procedures: [${basename(file)}]`,
    '',
  ].join('\n');
}
