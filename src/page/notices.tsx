/** What must not be overlooked, above everything. */
import { noticeWords } from './news.ts';
import type { View } from './state.ts';
import { WORDS } from './words.ts';

export function Notices({ view }: { readonly view: View }) {
  const lines = [...notRecording(view), ...(view.otherVersion ? [WORDS.otherVersion] : [])];
  if (lines.length === 0) return null;
  return (
    <div class="notices" role="alert">
      {lines.map((line) => (
        <p key={line}>{line}</p>
      ))}
    </div>
  );
}

function notRecording({ live }: View): readonly string[] {
  if (live === null || live.recording) return [];
  const flooding = Object.entries(live.instruments).flatMap(([name, { floods }]) => (floods ? [name] : []));
  return flooding.length === 0 ? [WORDS.notRecording] : flooding.map((name) => WORDS.flooded(name));
}

/** What the bench noticed and what went wrong in it: worth reading, nothing to run for. */
export function Asides({ view }: { readonly view: View }) {
  return (
    <>
      {view.notice !== null && <p class="fault">{noticeWords(view.notice)}</p>}
      {view.fault !== null && <p class="fault">{WORDS.fault(view.fault.source, view.fault.code, view.fault.detail)}</p>}
    </>
  );
}
