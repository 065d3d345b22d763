/** The address of this page as a code for a camera, and what to do while it is open to this computer only. */

import { useMemo } from 'preact/hooks';
import qrcode from 'qrcode-generator';
import { WORDS } from './words.ts';

/** Modules of quiet around the code (ISO/IEC 18004). */
const QUIET = 4;

export function JoinPanel() {
  const words = WORDS.screen;
  const address = location.origin;
  return (
    <section class="join" aria-labelledby="join-title">
      <h2 id="join-title">{words.join}</h2>
      <Code text={address} label={words.joinCode(address)} />
      <p>
        <code>{address}</code>
      </p>
      {isLoopback(location.hostname) && (
        <>
          <p>{words.joinLoopback}</p>
          <p>{words.joinForward}</p>
          <p>
            <code>{forwarding(words.joinUser)}</code>
          </p>
        </>
      )}
    </section>
  );
}

/** Names that mean the computer itself. */
export function isLoopback(host: string): boolean {
  return host === 'localhost' || host.endsWith('.localhost') || host === '[::1]' || /^127\./.test(host);
}

/** The same port there and here: the bench answers only to its own name and port. */
function forwarding(user: string): string {
  const port = location.port === '' ? '80' : location.port;
  const host = location.hostname;
  return `ssh -L ${port}:${host}:${port} ${user}`;
}

function Code({ text, label }: { readonly text: string; readonly label: string }) {
  const { path, size } = useMemo(() => drawn(text), [text]);
  const whole = size + 2 * QUIET;
  return (
    <svg class="code" viewBox={`${-QUIET} ${-QUIET} ${whole} ${whole}`} role="img" aria-label={label}>
      <path class="ground" d={`M${-QUIET} ${-QUIET}h${whole}v${whole}h${-whole}z`} />
      <path class="dots" d={path} />
    </svg>
  );
}

/** The dark modules as one path. */
function drawn(text: string): { readonly path: string; readonly size: number } {
  const code = qrcode(0, 'M');
  code.addData(text);
  code.make();
  const size = code.getModuleCount();
  const rows = Array.from({ length: size }, (_, row) =>
    Array.from({ length: size }, (_, column) => (code.isDark(row, column) ? `M${column} ${row}h1v1h-1z` : '')).join(''),
  );
  return { path: rows.join(''), size };
}
