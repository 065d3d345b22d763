/** Findings and flaws of a file as mistakes with their places, in the order of the file. */
import { withoutEchoes } from './issues.ts';
import { type Finding, type Mistake, type Path, pathText } from './mistake.ts';
import type { Source } from './source.ts';
import type { Place, ReadYaml } from './yaml.ts';

/** What stands in a line that could not be read, or depends on one, is not told. */
export function mistakesOf(findings: readonly Finding[], read: ReadYaml, source: Source): Mistake[] {
  const { root, flaws, partial, brokenAt } = read;
  const told = withoutEchoes(findings).flatMap((one) => {
    const { offset, spoiled } = find(one, root);
    const idle = spoiled || (partial && one.nature !== 'here') || offset >= brokenAt;
    return idle ? [] : [{ offset, ...one, path: pathText(one.path) }];
  });
  return [...flaws, ...told]
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
export function frozen<T>(value: T): T {
  if (typeof value === 'object' && value !== null && !ArrayBuffer.isView(value)) {
    for (const part of Object.values(value)) frozen(part);
    Object.freeze(value);
  }
  return value;
}
