/** The last state of the bench as it is kept on this device, to open with when the bench is not to be reached. */
import type { Hello, Snapshot } from '../feed/messages.ts';
import { PROTOCOL, reduce, START, type View } from './state.ts';

export interface KeptState {
  /** Address of the script that wrote it: it holds a digest, and another build may see the bench in another shape. */
  readonly by: string;
  readonly hello: Hello;
  readonly snapshot: Snapshot;
  /** Wall clock of this device when the bench was last heard, ms since 1970. */
  readonly heardUtcMs: number;
}

/** What is worth keeping of a view; null before the bench was heard. `nowMs` is the page's own clock. */
export function stateToKeep(view: View, nowUtcMs: number, nowMs: number): KeptState | null {
  const { hello, bench, live, machine, lastEvent, heardAtMs } = view;
  if (hello === null || bench === null || live === null || machine === null) return null;
  if (lastEvent === null || heardAtMs === null) return null;
  const { revision, lastReading, job, progress, machineTypes, target, verdict, alarms } = view;
  const lastStart = view.lastStart ?? { procedure: null, machineType: null };
  return {
    by: import.meta.url,
    hello,
    snapshot: {
      type: 'snapshot',
      ...{ event: lastEvent, revision, bench, live, lastReading, job, machine, target, verdict, alarms },
      ...{ progress, machineTypes, lastStart },
    },
    heardUtcMs: nowUtcMs - (nowMs - heardAtMs),
  };
}

/** The view to open with: what was kept, as old as it is, and nothing of it live. */
export function recalled(found: unknown, nowUtcMs: number, nowMs: number): View {
  const state = found as KeptState | null;
  if (typeof state !== 'object' || state === null || state.by !== import.meta.url) return START;
  const { hello, snapshot, heardUtcMs } = state;
  if (hello?.protocol !== PROTOCOL || snapshot?.type !== 'snapshot' || typeof heardUtcMs !== 'number') return START;
  // A clock that was set back does not make it younger than now.
  const heardAtMs = nowMs - Math.max(0, nowUtcMs - heardUtcMs);
  try {
    const known = [hello, snapshot].reduce(
      (view, message) => reduce(view, { kind: 'heard', message, atMs: heardAtMs }),
      START,
    );
    return { ...known, link: 'connecting', missed: { fromMs: heardAtMs, toMs: null, events: [] } };
  } catch {
    return START;
  }
}
