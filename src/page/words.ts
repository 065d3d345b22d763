/**
 * The words of the page in the language that is spoken now. `WORDS` is a live binding: whoever reads it while drawing
 * gets the present language, so nothing may keep a text for later; keep the code and its figures instead.
 */
import type { ActionBody, Quality } from '../core/events.ts';
import { de } from './words/de.ts';
import { en, type Words } from './words/en.ts';

export const LANGUAGES = { en, de } as const satisfies Record<string, Words>;
export type Language = keyof typeof LANGUAGES;

export let WORDS: Words = en;
let spoken: Language = 'en';
/** Where numbers and dates are written as there: a region of the language, if the browser names one. */
let region = 'en';

/** Speaks `language`; `preferred` are the languages of the browser, the best first. */
export function speak(language: Language, preferred: readonly string[] = []): void {
  spoken = language;
  WORDS = LANGUAGES[language];
  region = preferred.find((tag) => tag.split('-')[0] === language) ?? language;
}

export function language(): Language {
  return spoken;
}

export function locale(): string {
  return region;
}

/** The first language of the browser that this page speaks; English where it speaks none of them. */
export function languageFor(preferred: readonly string[]): Language {
  const tags = preferred.map((tag) => tag.split('-')[0] ?? '');
  return tags.find((tag): tag is Language => Object.hasOwn(LANGUAGES, tag)) ?? 'en';
}

/** What an accepted action is called, for the line under the button. */
export function acceptedWords(type: ActionBody['type']): string {
  return WORDS.accepted[type];
}

/** Words for a refusal or an error of the feed by its code; what the bench said where there are none. */
export function refusalWords(code: string | null, said: string): string {
  if (code === null) return said;
  return (WORDS.refusals as Record<string, string>)[code] ?? WORDS.feedErrors[code] ?? said;
}

/** Gate names come from a closed list; a newer bench may still send one that this page does not know. */
export function gateName(id: string): string {
  return (WORDS.gateNames as Record<string, string>)[id] ?? id;
}

/** Reason of a discard in words; the code itself where this page does not know it. */
export function discardWords(reason: string): string {
  return (WORDS.discardReasons as Record<string, string>)[reason] ?? reason;
}

/** Quality of a value in words; empty for a good one. */
export function qualityWords(quality: Quality, reason: string | null): string {
  if (quality === 'good') return '';
  const why = reason === null ? undefined : ((WORDS.qualityReasons as Record<string, string>)[reason] ?? reason);
  return why === undefined ? WORDS.quality[quality] : `${WORDS.quality[quality]}: ${why}`;
}

/** Component of an uncertainty, by the beginning of its name; as the bench calls it where there are no words. */
export function componentWords(component: string): string {
  const start = knownStart(component);
  return start === undefined ? component : (WORDS.components[start]?.name ?? start) + component.slice(start.length);
}

/** What would make this component smaller; null where there are no words for it. */
export function remedyWords(component: string): string | null {
  return WORDS.components[knownStart(component) ?? '']?.remedy ?? null;
}

/** The longest known beginning. */
function knownStart(component: string): string | undefined {
  return Object.keys(WORDS.components)
    .filter((start) => component.startsWith(start))
    .sort((a, b) => b.length - a.length)[0];
}
