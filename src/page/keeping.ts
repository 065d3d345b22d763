/** Keeps the page and the last state on this device: files in a service worker, the state in the browser's storage. */
import { keep } from './browser.ts';
import type { Desk } from './desk.ts';
import { stateToKeep } from './kept-state.ts';

/** Live values are kept this often; what is on record at once. */
const EVERY_MS = 5000;

export function keepState(desk: Desk): void {
  let keptAtMs = Number.NEGATIVE_INFINITY;
  let keptEvent: number | null = null;
  const put = () => {
    const state = stateToKeep(desk.view, Date.now(), desk.nowMs());
    if (state === null) return;
    keep('last', state);
    keptAtMs = desk.nowMs();
    keptEvent = desk.view.lastEvent;
  };
  desk.subscribe(() => {
    const { link, lastEvent } = desk.view;
    if (link === 'live' && (lastEvent !== keptEvent || desk.nowMs() - keptAtMs > EVERY_MS)) put();
  });
  // A page that is put away may never come back.
  addEventListener('pagehide', put);
}

/** Browsers keep files only of pages served securely, which the computer itself is. */
export async function keepFiles(): Promise<void> {
  if (!('serviceWorker' in navigator)) return;
  try {
    await navigator.serviceWorker.register('/sw.js');
  } catch {
    // Without it the page needs the bench to open, and works all the same.
  }
}
