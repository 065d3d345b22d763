/** Says "old" beside a heading while nothing is heard from the bench. */
import type { View } from './state.ts';
import { WORDS } from './words.ts';

export function OldMark({ view }: { readonly view: View }) {
  return view.link === 'live' ? null : <span class="old-mark">{WORDS.oldUnknown}</span>;
}
