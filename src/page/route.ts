/** Which view is shown, kept in the part of the address behind the #: it works offline, and with the way back. */
import { useEffect, useState } from 'preact/hooks';

export const VIEWS = ['now', 'job', 'signals', 'records', 'instruments', 'screen'] as const;
export type ViewName = (typeof VIEWS)[number];

/** Address of a view, for a link. */
export function hrefOf(view: ViewName): string {
  return `#/${view}`;
}

/** The view that an address means; Now where it means none. */
export function viewOf(hash: string): ViewName {
  const name = hash.replace(/^#\/?/, '').split('/')[0];
  return VIEWS.find((view) => view === name) ?? 'now';
}

export function useRoute(): ViewName {
  const [view, setView] = useState(() => viewOf(location.hash));
  useEffect(() => {
    const changed = () => setView(viewOf(location.hash));
    addEventListener('hashchange', changed);
    return () => removeEventListener('hashchange', changed);
  }, []);
  return view;
}
