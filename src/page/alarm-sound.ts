/**
 * The sound of an alarm that nobody has acknowledged: more, higher and more often the more urgent it is (common practice,
 * no source). A browser lets a page sound only after a touch or a key on it.
 */
import type { Alarm } from './alarm-fold.ts';

export interface Pattern {
  readonly beeps: number;
  readonly hz: number;
  readonly beepS: number;
  readonly pauseS: number;
  /** From the beginning of one pattern to that of the next. */
  readonly everyS: number;
}

export const PATTERNS: Readonly<Record<Alarm['priority'], Pattern>> = {
  high: { beeps: 5, hz: 880, beepS: 0.12, pauseS: 0.08, everyS: 3 },
  medium: { beeps: 3, hz: 660, beepS: 0.16, pauseS: 0.14, everyS: 8 },
  low: { beeps: 1, hz: 520, beepS: 0.25, pauseS: 0, everyS: 30 },
};

/** Below this nobody hears it, above it hurts in headphones. */
const LOUDNESS = 0.25;
/** Switched on and off at once, a tone clicks. */
const RAMP_S = 0.01;

export class AlarmSound {
  #context: AudioContext | null = null;
  #priority: Alarm['priority'] | null = null;
  #timer: ReturnType<typeof setInterval> | null = null;

  /** Whether a sound would be heard. */
  get allowed(): boolean {
    return this.#context !== null;
  }

  /** To be called from a touch or a key: only then may a page make itself heard. */
  allow(): void {
    if (this.#context !== null || typeof AudioContext === 'undefined') return;
    this.#context = new AudioContext();
    void this.#context.resume();
    if (this.#priority !== null) this.#play(PATTERNS[this.#priority]);
  }

  /** Sounds for this priority from now on; null: is silent. */
  sound(priority: Alarm['priority'] | null): void {
    if (priority === this.#priority) return;
    this.#priority = priority;
    if (this.#timer !== null) clearInterval(this.#timer);
    this.#timer = null;
    if (priority === null) return;
    const pattern = PATTERNS[priority];
    this.#play(pattern);
    this.#timer = setInterval(() => this.#play(pattern), 1000 * pattern.everyS);
  }

  #play({ beeps, hz, beepS, pauseS }: Pattern): void {
    const context = this.#context;
    if (context === null) return;
    for (let i = 0; i < beeps; i++) {
      const fromS = context.currentTime + i * (beepS + pauseS);
      const tone = context.createOscillator();
      const volume = context.createGain();
      tone.frequency.value = hz;
      volume.gain.setValueAtTime(0, fromS);
      volume.gain.linearRampToValueAtTime(LOUDNESS, fromS + RAMP_S);
      volume.gain.setValueAtTime(LOUDNESS, fromS + beepS - RAMP_S);
      volume.gain.linearRampToValueAtTime(0, fromS + beepS);
      tone.connect(volume).connect(context.destination);
      tone.start(fromS);
      tone.stop(fromS + beepS);
    }
  }
}

const MUTED = 'stillwell.muted';

/** Kept by this browser only: another page still sounds. */
export function keptMuted(): boolean {
  try {
    return localStorage.getItem(MUTED) === 'yes';
  } catch {
    return false;
  }
}

export function keepMuted(muted: boolean): void {
  try {
    localStorage.setItem(MUTED, muted ? 'yes' : 'no');
  } catch {
    // Without storage it holds as long as the page.
  }
}
