/** From the text of a procedure file to a checked, frozen procedure, or to all its mistakes at once. */
import { createHash } from 'node:crypto';
import type { ProcedureDescription } from '../core/job/procedure.ts';
import { type Finding, finding, type Mistake, quote } from './mistake.ts';
import { type ProcedureDraft, readProcedureDraft } from './procedure-draft.ts';
import { checkProcedure } from './procedure-relations.ts';
import { resolveProcedure } from './procedure-resolve.ts';
import { procedureSchema } from './procedure-schema.ts';
import { readSource } from './source.ts';
import { frozen, mistakesOf } from './tell.ts';
import { readYaml } from './yaml.ts';

export type LoadedProcedure =
  | { readonly ok: true; readonly procedure: ProcedureDescription }
  | { readonly ok: false; readonly mistakes: readonly Mistake[] };

/** Reads a procedure file (YAML 1.2). Never throws on any text. Mistakes come in the order of the file. */
export function loadProcedure(text: string): LoadedProcedure {
  const source = readSource(text);
  const read = readYaml(source.text);
  const findings: Finding[] = [];
  let draft: ProcedureDraft | null = null;
  if (read.data !== null) {
    draft = readProcedureDraft(read.data, findings);
    findings.push(...checkProcedure(draft, findings.length === 0));
  } else if (read.flaws.length === 0) {
    const keys = Object.keys(procedureSchema.shape).map(quote).join(', ');
    findings.push(finding([], 'the file is empty', `the keys ${keys}`));
  }
  const mistakes = mistakesOf(findings, read, source);
  if (draft === null || mistakes.length > 0) return { ok: false, mistakes };
  const digest = createHash('sha256').update(text).digest('hex');
  return frozen({ ok: true, procedure: resolveProcedure(draft, digest) });
}

/** Whether a text means to be a procedure: by its first key, or by keys that no bench has. */
export function isProcedure(text: string): boolean {
  const keys = [...text.matchAll(/^\u{feff}?([\w-]+)\s*:/gmu)].map(([, name]) => name);
  if (keys[0] === 'procedure') return true;
  return keys.includes('steps') && !keys.includes('bench') && !keys.includes('instruments');
}
