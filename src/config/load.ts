/** From the text of a bench file to a checked, frozen bench description, or to all its mistakes at once. */
import { dirname, resolve } from 'node:path';
import type { BenchDescription } from '../core/description.ts';
import type { DriverRegistry } from '../kit/driver.ts';
import { type BenchDraft, readDraft } from './draft.ts';
import { type Finding, finding, type Mistake, quote } from './mistake.ts';
import { checkRelations } from './relations.ts';
import { type BenchSettings, type Complete, resolveBench, settingsOf } from './resolve.ts';
import { fileSchema } from './schema.ts';
import { readSource } from './source.ts';
import { frozen, mistakesOf } from './tell.ts';
import { readYaml } from './yaml.ts';

export type { Mistake } from './mistake.ts';
export type { BenchSettings } from './resolve.ts';

export type LoadedBench =
  | { readonly ok: true; readonly bench: BenchDescription; readonly settings: BenchSettings }
  | { readonly ok: false; readonly mistakes: readonly Mistake[] };

/**
 * Reads a bench file (YAML 1.2). Never throws on any text. Relative paths in it begin at `dir`, the folder of the file.
 * Mistakes come in the order of the file.
 */
export function loadBench(
  text: string,
  file: string,
  registry: DriverRegistry,
  dir = dirname(resolve(file)),
): LoadedBench {
  const source = readSource(text);
  const read = readYaml(source.text);
  const { data, flaws } = read;
  const findings: Finding[] = [];
  let draft: BenchDraft | null = null;
  if (data !== null) {
    draft = readDraft(data, registry, findings);
    findings.push(...checkRelations(draft));
  } else if (flaws.length === 0) {
    findings.push(finding([], 'the file is empty', `the keys ${Object.keys(fileSchema.shape).map(quote).join(', ')}`));
  }

  const mistakes = mistakesOf(findings, read, source);
  if (draft === null || mistakes.length > 0) return { ok: false, mistakes };
  // Nothing was found, so no part of the draft is missing.
  const complete = draft as Complete;
  return frozen({ ok: true, bench: resolveBench(complete, dir), settings: settingsOf(complete, dir) });
}
