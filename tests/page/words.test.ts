/** The languages of the page: complete, without an English word left over, and able to say what the core says by code. */
import { readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { afterEach, describe, expect, it } from 'vitest';
import { de } from '../../src/page/words/de.ts';
import { en } from '../../src/page/words/en.ts';
import { componentWords, language, languageFor, locale, remedyWords, speak, WORDS } from '../../src/page/words.ts';

afterEach(() => speak('en'));

/** Every text under its path; functions are asked with placeholders. */
function texts(node: unknown, path = ''): [string, string][] {
  if (typeof node === 'string') return [[path, node]];
  if (typeof node === 'function') {
    const figures = new Proxy({}, { get: (_, name) => (name === 'below' ? true : '‹›') });
    const given = path.includes('gateSays') || /verdict(Side|Sure)$/.test(path) ? [figures] : Array(5).fill('‹›');
    const args = path.endsWith('verdictFact') ? ['‹›', figures] : given;
    return [[path, String((node as (...a: unknown[]) => unknown)(...args))]];
  }
  if (typeof node !== 'object' || node === null) return [];
  return Object.entries(node).flatMap(([key, value]) => texts(value, path === '' ? key : `${path}.${key}`));
}

/** A word that both languages write alike, and signs that are no words. */
const SHARED = /Stillwell|Drift|Alarm|Software/g;
const isWords = (text: string) => /\p{L}{4}/u.test(text.replace(SHARED, ''));

describe('German', () => {
  it('says nothing in the words of the English page', () => {
    const english = new Map(texts(en));
    const same = texts(de).filter(([path, text]) => isWords(text) && english.get(path) === text);
    expect(same).toEqual([]);
  });

  it('has no empty text where English has one', () => {
    const english = new Map(texts(en));
    const empty = texts(de).filter(
      ([path, text]) => text === '' && (english.get(path) ?? '') !== '' && path !== 'toGo.after',
    );
    expect(empty.map(([path]) => path)).toEqual([]);
  });

  it('puts every figure into its sentence that English puts there', () => {
    const figures = (text: string) => text.split('‹›').length - 1;
    const english = new Map(texts(en));
    const differing = texts(de).filter(([path, text]) => figures(text) !== figures(english.get(path) ?? text));
    expect(differing).toEqual([]);
  });

  it('is what a browser gets that asks for it, with its own way to write numbers', () => {
    expect(languageFor(['fr-FR', 'de-AT', 'en-US'])).toBe('de');
    expect(languageFor(['fr'])).toBe('en');
    expect(languageFor(['constructor'])).toBe('en');
    speak('de', ['en-US', 'de-CH']);
    expect([language(), locale(), WORDS.temperature]).toEqual(['de', 'de-CH', 'Temperatur']);
    speak('de', ['en-US']);
    expect(locale()).toBe('de');
  });

  it('names the components of an uncertainty by their beginning, the longest first', () => {
    speak('de');
    expect(componentWords('temperature coefficient of the speed of sound (level)')).toBe(
      'Temperaturgang der Schallgeschwindigkeit (level)',
    );
    expect(componentWords('repeatability (No. 17)')).toBe('Wiederholbarkeit (No. 17)');
    expect(componentWords('moonlight')).toBe('moonlight');
    expect(remedyWords('new fluid')).toMatch(/neue Flüssigkeit/);
    speak('en');
    expect(componentWords('repeatability')).toBe('repeatability');
    expect(remedyWords('new fluid')).toBeNull();
  });
});

/** Reads the source as text: a code that is new there must get its words here. */
function found(folder: string, pattern: RegExp): string[] {
  const files = readdirSync(folder, { recursive: true, encoding: 'utf8' }).filter((name) => name.endsWith('.ts'));
  return files.flatMap((name) =>
    [...readFileSync(join(folder, name), 'utf8').matchAll(pattern)].map((m) => m[1] ?? ''),
  );
}

describe('Both languages', () => {
  it.each(Object.entries({ en, de }))(
    'have words for every code with which the core explains a gate: %s',
    (_, words) => {
      const said = new Set(Object.values(words.gateSays).flatMap((codes) => Object.keys(codes)));
      const source = ['gates.ts', 'gates-level.ts'].map((name) => readFileSync(`src/core/${name}`, 'utf8')).join('\n');
      const codes = [...source.matchAll(/\bwhy:([^,\n]+)/g)].flatMap(([, text]) =>
        [...(text ?? '').matchAll(/'([a-z-]+)'/g)].map((m) => m[1] as string),
      );
      expect(codes.length).toBeGreaterThan(20);
      expect(codes.filter((code) => !said.has(code))).toEqual([]);
      expect([...said].filter((code) => !codes.includes(code))).toEqual([]);
    },
  );

  it('German has a word for every component that the core names in a fixed text', () => {
    speak('de');
    const named = found('src/core', /\bline\('([^']+)'/g);
    expect(named.length).toBeGreaterThan(8);
    expect(named.filter((component) => componentWords(component) === component)).toEqual([]);
  });

  it('German knows every remedy of the core under the same name', () => {
    speak('de');
    const advice = readFileSync('src/core/match/advice.ts', 'utf8');
    const components = [...advice.matchAll(/^ {2}\['([^']+)', '/gm)].map((m) => m[1] as string);
    expect(components.length).toBeGreaterThan(15);
    expect(components.filter((component) => remedyWords(component) === null)).toEqual([]);
  });
});
