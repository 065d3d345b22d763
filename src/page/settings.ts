/** What this device likes: language, brightness, units, sound, foot switch. Kept on the device, never in the record. */
import { keep, kept } from './browser.ts';
import { like } from './units.ts';
import { type Language, languageFor, speak } from './words.ts';

export interface Settings {
  readonly language: 'auto' | Language;
  readonly theme: 'auto' | 'light' | 'dark';
  readonly temperature: 'C' | 'F';
  readonly length: 'mm' | 'in';
  readonly volume: 'L' | 'qt';
  readonly sound: 'on' | 'off';
  /** `KeyboardEvent.key` that a foot switch types; empty for none. */
  readonly footKey: string;
}

export const USUAL: Settings = {
  language: 'auto',
  theme: 'auto',
  temperature: 'C',
  length: 'mm',
  volume: 'L',
  sound: 'on',
  footKey: '',
};

/** What each may be; the foot switch may be any key. */
export const CHOICES = {
  language: ['auto', 'en', 'de'],
  theme: ['auto', 'light', 'dark'],
  temperature: ['C', 'F'],
  length: ['mm', 'in'],
  volume: ['L', 'qt'],
  sound: ['on', 'off'],
} as const satisfies Partial<Record<keyof Settings, readonly string[]>>;

const listeners = new Set<() => void>();
let present: Settings = USUAL;

export function settings(): Settings {
  return present;
}

/** Changes and keeps; everything is drawn again. */
export function change(over: Partial<Settings>): void {
  present = { ...present, ...over };
  keep('settings', present);
  apply();
}

export function onSettings(listener: () => void): () => void {
  listeners.add(listener);
  return () => listeners.delete(listener);
}

/** Takes up what was kept, and follows the device where nothing else is wished. */
export function beginSettings(): void {
  present = checked(kept('settings'));
  matchMedia('(prefers-color-scheme: dark)').addEventListener('change', apply);
  addEventListener('languagechange', apply);
  apply();
}

/** What was kept, each value only if it may be: another version may have written it. */
export function checked(found: unknown): Settings {
  if (typeof found !== 'object' || found === null) return USUAL;
  const given = found as Record<string, unknown>;
  const known = Object.entries(CHOICES).filter(([key, values]) => (values as readonly unknown[]).includes(given[key]));
  const footKey = typeof given.footKey === 'string' ? given.footKey : '';
  return { ...USUAL, ...Object.fromEntries(known.map(([key]) => [key, given[key]])), footKey };
}

function apply(): void {
  const { language, theme } = present;
  const spoken = language === 'auto' ? languageFor(navigator.languages) : language;
  speak(spoken, navigator.languages);
  like(present);
  const root = document.documentElement;
  root.lang = spoken;
  const dark = theme === 'auto' ? matchMedia('(prefers-color-scheme: dark)').matches : theme === 'dark';
  root.dataset.theme = dark ? 'dark' : 'light';
  for (const listener of listeners) listener();
}
