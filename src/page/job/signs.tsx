/** Signs of what a job asks for, drawn like those of the views: lines on 32 × 32. */
import type { Sign } from './lead.ts';

const LINES: Readonly<Record<Sign, string>> = {
  list: 'M5 8l2.5 2.5L12 6M5 17l2.5 2.5L12 15M5 26l2.5 2.5L12 24M16 9h11M16 18h11M16 27h11',
  keys: 'M6 5h6v6H6zM16 5h6v6h-6zM6 15h6v6H6zM16 15h6v6h-6zM11 25h6v3h-6z',
  wait: 'M8 4h16M8 28h16M10 4q0 8 6 12q6-4 6-12M10 28q0-8 6-12q6 4 6 12',
  read: 'M9 5v22M23 5v22M3 18h26M16 17l-4-7h8z',
  in: 'M6 14v14h20V14M16 3v16M11 14l5 5 5-5M9 24h14',
  out: 'M6 4v12h8v4M26 4v12h-8v4M16 18v11M12 25l4 4 4-4M9 9h14',
  block: 'M4 28h24M9 28v-8h14v8M12 20v-6h8v6M16 14V4',
  scales: 'M16 4v24M9 28h14M5 9h22M5 9l-3 9h7zM27 9l-4 9h7z',
  question: 'M10 11q0-6 6-6t6 6q0 4-4 6q-2 1-2 4M16 26v1',
  stop: 'M11 4h10l7 7v10l-7 7H11l-7-7V11zM10 16h12',
  pen: 'M5 27l2-7L22 5l5 5L12 25zM18 9l5 5M4 29h24',
};

export function JobSign({ sign }: { readonly sign: Sign }) {
  return (
    <svg class="job-sign" viewBox="0 0 32 32" aria-hidden="true" focusable="false">
      <path d={LINES[sign]} />
    </svg>
  );
}
