/** The screen stays on while a job is open, where the device allows it (Screen Wake Lock API); else it says so. */
import { useEffect, useState } from 'preact/hooks';
import { WORDS } from './words.ts';

export type Awake = 'held' | 'free' | 'refused' | 'missing';

const listeners = new Set<(now: Awake) => void>();
let wanted = false;
let lock: WakeLockSentinel | null = null;
let now: Awake = 'wakeLock' in navigator ? 'free' : 'missing';

function become(next: Awake): void {
  now = next;
  for (const listener of listeners) listener(next);
}

/** Keeps it on, or no longer. */
export function stayAwake(want: boolean): void {
  if (now === 'missing' || want === wanted) return;
  wanted = want;
  if (want) void take();
  else void lock?.release();
}

async function take(): Promise<void> {
  if (!wanted || lock !== null || document.visibilityState !== 'visible') return;
  try {
    const held = await navigator.wakeLock.request('screen');
    lock = held;
    held.addEventListener('release', () => {
      lock = null;
      become('free');
    });
    if (wanted) become('held');
    else void held.release();
  } catch {
    become('refused');
  }
}

// The browser lets go of it whenever the page is covered.
if (now !== 'missing') document.addEventListener('visibilitychange', () => void take());

function useAwake(): Awake {
  const [awake, set] = useState(now);
  useEffect(() => {
    set(now);
    listeners.add(set);
    return () => {
      listeners.delete(set);
    };
  }, []);
  return awake;
}

/** How it stands, in words. */
export function AwakeWords() {
  const awake = useAwake();
  return (
    <p class="aside" data-awake={awake}>
      {WORDS.screen.awakes[awake]}
    </p>
  );
}

/** Only where the screen will not stay on. */
export function AwakeTrouble() {
  const awake = useAwake();
  return awake === 'refused' || awake === 'missing' ? <AwakeWords /> : null;
}
