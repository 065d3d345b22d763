/**
 * Pictures of our own. The large one is a stilling well: a pipe with holes, standing in a liquid. The liquid moves (wait),
 * lies flat with the sign of a free surface on it (ready), or is not known (lost). Shape alone tells them apart.
 */
import type { Face } from './judge.ts';
import { rulerEnd } from './ruler.ts';

const HOLES_Y = [22, 40, 84, 102];

export function Well({ face }: { readonly face: Face }) {
  const unknown = face === 'lost' || face === 'connecting';
  return (
    <svg class="well" viewBox="0 0 120 124" aria-hidden="true" focusable="false">
      {face === 'wait' && <path class="liquid" d="M36 64q6-13 12 0t12 0t12 0t12 0v52h-48z" />}
      {face === 'ready' && <path class="liquid" d="M36 64h48v52h-48z" />}
      <path class={unknown ? 'pipe broken' : 'pipe'} d="M36 8v108M84 8v108" />
      {HOLES_Y.map((y) => (
        <g key={y}>
          <circle class="hole" cx="36" cy={y} r="4" />
          <circle class="hole" cx="84" cy={y} r="4" />
        </g>
      ))}
      {face === 'wait' && (
        <path class="surface" d="M3 64q7-15 14 0t14 0M89 64q7-15 14 0t14 0M41 64q5-14 9.5 0t9.5 0t9.5 0t9.5 0" />
      )}
      {face === 'ready' && <path class="surface" d="M3 64h114" />}
      {face === 'ready' && <path class="sign" d="M60 58L46 34h28z" />}
      {unknown && <path class="surface" d="M20 104L100 20" />}
    </svg>
  );
}

/** A barrier: lifted when open, down when shut. */
export function Barrier({ open }: { readonly open: boolean }) {
  return (
    <svg class={open ? 'barrier open' : 'barrier shut'} viewBox="0 0 32 32" aria-hidden="true" focusable="false">
      <path d="M6 29V15" />
      <path class="arm" d={open ? 'M6 16L17 3' : 'M6 16h24'} />
      <circle cx="6" cy="16" r="2.5" />
      {!open && <path d="M27 16v13" />}
    </svg>
  );
}

/** Link of an instrument: plugs together, apart, or on the way. */
export function Plug({ state }: { readonly state: 'opening' | 'open' | 'closed' }) {
  const apart = state === 'open' ? 0 : 4;
  return (
    <svg class={`plug ${state}`} viewBox="0 0 32 32" aria-hidden="true" focusable="false">
      <path d={`M1 16h${8 - apart}M${9 - apart} 9v14h7v-14z`} />
      <path d={`M31 16h-${8 - apart}M${16 + apart} 9v14h7v-14z`} />
      {state === 'closed' && <path d="M11 29L21 3" />}
    </svg>
  );
}

/** Filled: live. A ring with a hand, like a stopped clock: old. */
export function Pulse({ old }: { readonly old: boolean }) {
  return (
    <svg class="pulse" viewBox="0 0 16 16" aria-hidden="true" focusable="false">
      {old ? (
        <path class="ring" d="M8 2a6 6 0 1 0 .01 0M8 5v3.2l2.4 1.6" />
      ) : (
        <circle class="dot" cx="8" cy="8" r="5.5" />
      )}
    </svg>
  );
}

/** A ruler of time: now at the left, the expected moment as a mark, its interval as a bar. */
export function TimeRuler({
  s,
  lowS,
  highS,
}: {
  readonly s: number;
  readonly lowS: number;
  readonly highS: number | null;
}) {
  const end = rulerEnd(s, highS);
  const x = (seconds: number) => 10 + (Math.min(Math.max(0, seconds), end) / end) * 380;
  const minor = end / 12;
  return (
    <svg class="ruler" viewBox="0 0 400 30" aria-hidden="true" focusable="false">
      <path class="base" d="M10 28H390" />
      {Array.from({ length: 13 }, (_, i) => (
        <path key={i} class="tick" d={`M${x(i * minor)} 28v-${i % 3 === 0 ? 11 : 6}`} />
      ))}
      <rect
        class={highS === null ? 'span open-ended' : 'span'}
        x={x(lowS)}
        y="18"
        width={Math.max(2, x(highS ?? end) - x(lowS))}
        height="10"
      />
      <path class="mark" d={`M${x(s)} 18l-9-15h18z`} />
    </svg>
  );
}
