/** From the text of a bench file to a checked, frozen bench description, or to all its mistakes at once. */
import { dirname, resolve } from 'node:path';
import type { BenchDescription } from '../core/description.ts';
import type { DriverRegistry } from '../kit/driver.ts';
import { type BenchDraft, readDraft } from './draft.ts';
import { withoutEchoes } from './issues.ts';
import { type Finding, finding, type Mistake, type Path, pathText, quote } from './mistake.ts';
import { checkRelations } from './relations.ts';
import { type BenchSettings, type Complete, resolveBench, settingsOf } from './resolve.ts';
import { fileSchema } from './schema.ts';
import { readSource } from './source.ts';
import { type Place, readYaml } from './yaml.ts';

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
  const { data, root, flaws, partial, brokenAt } = readYaml(source.text);
  const findings: Finding[] = [];
  let draft: BenchDraft | null = null;
  if (data !== null) {
    draft = readDraft(data, registry, findings);
    findings.push(...checkRelations(draft));
  } else if (flaws.length === 0) {
    findings.push(finding([], 'the file is empty', `the keys ${Object.keys(fileSchema.shape).map(quote).join(', ')}`));
  }

  const told = withoutEchoes(findings).flatMap((one) => {
    const { offset, spoiled } = find(one, root);
    const idle = spoiled || (partial && one.nature !== 'here') || offset >= brokenAt;
    return idle ? [] : [{ offset, ...one, path: pathText(one.path) }];
  });
  const mistakes = [...flaws, ...told]
    .toSorted((a, b) => a.offset - b.offset)
    .map(
      ({ offset, path, words, expected, nearest }): Mistake => ({
        ...source.place(offset),
        path,
        words,
        expected,
        nearest,
      }),
    );
  if (draft === null || mistakes.length > 0) return { ok: false, mistakes };
  // Nothing was found, so no part of the draft is missing.
  const complete = draft as Complete;
  return frozen({ ok: true, bench: resolveBench(complete, dir), settings: settingsOf(complete, dir) });
}

/** Where a finding stands: its key or value, or the key of the nearest parent that is there. */
function find({ path, at }: Finding, root: Place): { offset: number; spoiled: boolean } {
  let place = root;
  let spoiled = root.spoiled;
  for (const step of path as Path) {
    const child = place.children.get(step);
    if (child === undefined) return { offset: place === root ? root.value : place.key, spoiled };
    place = child;
    spoiled ||= child.spoiled;
  }
  return { offset: at === 'key' && place !== root ? place.key : place.value, spoiled };
}

/** Deeply frozen; the settings of drivers are plain data too. */
function frozen<T>(value: T): T {
  if (typeof value === 'object' && value !== null && !ArrayBuffer.isView(value)) {
    for (const part of Object.values(value)) frozen(part);
    Object.freeze(value);
  }
  return value;
}
