/** The ways between the views: a rail beside them where there is room, else a bar under the thumb. */
import { hrefOf, VIEWS, type ViewName } from './route.ts';
import { WORDS } from './words.ts';

/** Drawn on 32 × 32, lines only. */
const SIGNS: Readonly<Record<ViewName, string>> = {
  now: 'M11 4v24M21 4v24M5 17h22M11 22h10',
  job: 'M7 5h18v23H7zM11 12l2 2 4-4M11 21l2 2 4-4M20 12h2M20 21h2',
  signals: 'M4 5v22h24M7 22q5-1 7-9t6-3 8-5',
  records: 'M6 5h17q3 0 3 3v19H9q-3 0-3-3zM6 24q0-3 3-3h17M11 10h10M11 15h7',
  instruments: 'M5 11h22v14H5zM16 11V5M10 18h3M16 18h6M16 5h5',
  screen:
    'M5 9h13M24 9h3M5 16h4M15 16h12M5 23h11M22 23h5M18 9a3 3 0 1 0 6 0 3 3 0 1 0-6 0M9 16a3 3 0 1 0 6 0 3 3 0 1 0-6 0M16 23a3 3 0 1 0 6 0 3 3 0 1 0-6 0',
};

export function Navigation({ at }: { readonly at: ViewName }) {
  return (
    <nav aria-label={WORDS.viewsLabel}>
      {VIEWS.map((view) => (
        <a key={view} href={hrefOf(view)} data-to={view} {...(view === at ? { 'aria-current': 'page' as const } : {})}>
          <svg viewBox="0 0 32 32" aria-hidden="true" focusable="false">
            <path d={SIGNS[view]} />
          </svg>
          <span>{WORDS.views[view]}</span>
        </a>
      ))}
    </nav>
  );
}
