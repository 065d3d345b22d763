/**
 * A sign for the ear and the hand beside what is written: when the level may be read, and when the connection goes. It
 * says nothing that the page does not show, and can be switched off.
 */
import type { Face } from './judge.ts';
import { settings } from './settings.ts';

/** Pitch and length of the tones, Hz and seconds; pattern of the vibration, ms on and off. */
const SIGNS = {
  ready: { tones: [660, 880], toneS: 0.18, shakes: [120, 60, 120] },
  lost: { tones: [330], toneS: 0.5, shakes: [400] },
} as const;
const LOUDNESS = 0.2;
const BEEP_HZ = 990;
const BEEP_S = 0.09;

let audio: AudioContext | null = null;

/** A browser lets a page sound only after it was touched. */
export function wakeSound(): void {
  audio ??= 'AudioContext' in window ? new AudioContext() : null;
  void audio?.resume();
}

export function soundAsleep(): boolean {
  return audio?.state !== 'running';
}

/** Gives the sign for a change of the state, if it has one. */
export function signal(before: Face, now: Face): void {
  if (settings().sound === 'off' || before === now) return;
  if (now === 'ready') give(SIGNS.ready);
  if (now === 'lost') give(SIGNS.lost);
}

/** One short tone, for closing in on something. */
export function beep(): void {
  if (settings().sound === 'off' || audio === null || soundAsleep()) return;
  tone(audio, BEEP_HZ, 0, BEEP_S);
}

function give({ tones, toneS, shakes }: (typeof SIGNS)[keyof typeof SIGNS]): void {
  // Without a touch before, vibrating is refused and reported as a mistake of ours.
  if (navigator.userActivation?.hasBeenActive === true) navigator.vibrate?.([...shakes]);
  if (audio === null || soundAsleep()) return;
  for (const [i, pitch] of tones.entries()) tone(audio, pitch, i * toneS, toneS);
}

function tone(on: AudioContext, pitchHz: number, afterS: number, lengthS: number): void {
  const source = on.createOscillator();
  const volume = on.createGain();
  const from = on.currentTime + afterS;
  source.frequency.value = pitchHz;
  // Up and down gently: a hard edge would click.
  volume.gain.setValueAtTime(0, from);
  volume.gain.linearRampToValueAtTime(LOUDNESS, from + 0.02);
  volume.gain.linearRampToValueAtTime(0, from + lengthS);
  source.connect(volume).connect(on.destination);
  source.start(from);
  source.stop(from + lengthS);
}
