/** While fluid runs out: how far the level still stands above the mark at which the tap is shut. Words lead, beeps help. */
import { useEffect } from 'preact/hooks';
import { amount } from '../format.ts';
import { beep } from '../sound.ts';
import type { View } from '../state.ts';
import { WORDS } from '../words.ts';
import { beepEveryMs } from './closing-in.ts';
import { stopMark } from './lead.ts';

export function StopMarkPanel({ view, nowMs }: { readonly view: View; readonly nowMs: number }) {
  const mark = stopMark(view, nowMs);
  const everyMs = mark === null ? null : beepEveryMs(mark.restMm);
  useBeeps(everyMs === null ? null : Math.round(everyMs / 125) * 125);
  if (mark === null) return null;
  const { markMm, fromMm, levelMm, restMm, old } = mark;
  const span = Math.max(fromMm - markMm, 0.1);
  const share = Math.min(1, Math.max(0, (levelMm - markMm) / span));
  const size = amount(Math.abs(levelMm - markMm), 1, 'mm');
  // At the mark the leading words say it.
  const words = old ? WORDS.run.stop.old : restMm > 0 ? WORDS.run.stop.above(size) : '';
  return (
    <div class={old ? 'stop-mark old' : 'stop-mark'} data-rest={old ? 'old' : restMm > 0 ? 'above' : 'shut'}>
      {words !== '' && <p class="stop-words">{words}</p>}
      <svg viewBox="0 0 400 34" aria-hidden="true" focusable="false">
        <path class="rail" d="M4 16h392" />
        {!old && <rect class="left" x="4" y="8" width={392 * share} height="16" />}
        <path class="mark" d="M4 0v32" />
      </svg>
      <p class="ends">
        <span>{WORDS.run.stop.mark(amount(markMm, 1, 'mm'))}</span>
      </p>
    </div>
  );
}

function useBeeps(everyMs: number | null): void {
  useEffect(() => {
    if (everyMs === null) return;
    beep();
    const timer = setInterval(beep, everyMs);
    return () => clearInterval(timer);
  }, [everyMs]);
}
