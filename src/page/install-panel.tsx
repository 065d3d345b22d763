/** Keeping the page as an app: by the browser's own offer where it makes one, else in words. */
import { useEffect, useState } from 'preact/hooks';
import { WORDS } from './words.ts';

/** Not in the standard library of types: browsers that install offer it with this event. */
interface Offer extends Event {
  prompt(): Promise<unknown>;
}

let offer: Offer | null = null;
const listeners = new Set<() => void>();

/** Listens from the beginning: the browser offers once, early. */
export function awaitOffer(): void {
  const heard = (next: Offer | null) => {
    offer = next;
    for (const listener of listeners) listener();
  };
  addEventListener('beforeinstallprompt', (event) => {
    event.preventDefault();
    heard(event as Offer);
  });
  addEventListener('appinstalled', () => heard(null));
}

export function InstallPanel() {
  const words = WORDS.screen;
  const [, again] = useState(0);
  useEffect(() => {
    const redraw = () => again((n) => n + 1);
    listeners.add(redraw);
    return () => {
      listeners.delete(redraw);
    };
  }, []);
  const app = matchMedia('(display-mode: standalone)').matches;
  return (
    <section class="install" aria-labelledby="install-title">
      <h2 id="install-title">{words.install}</h2>
      <p>{app ? words.installDone : isSecureContext ? words.installBy : words.installNot}</p>
      {offer !== null && (
        <button type="button" onClick={() => void offer?.prompt()}>
          {words.installDo}
        </button>
      )}
      <p class="aside">{words.offline}</p>
    </section>
  );
}
