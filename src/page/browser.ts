/** What the page needs of the browser, in one place. */
import type { Outside } from './desk.ts';

const ACTOR = 'stillwell.actor';

export function browserOutside(): Outside {
  const address = `${location.protocol === 'https:' ? 'wss' : 'ws'}://${location.host}/feed`;
  return {
    open(query, hears) {
      const socket = new WebSocket(address + query);
      socket.onmessage = (event) => {
        if (typeof event.data === 'string') hears.text(event.data);
      };
      socket.onclose = () => hears.closed();
      return {
        send: (text) => {
          const open = socket.readyState === WebSocket.OPEN;
          if (open) socket.send(text);
          return open;
        },
        close: () => socket.close(),
      };
    },
    after(ms, then) {
      const timer = setTimeout(then, ms);
      return () => clearTimeout(timer);
    },
    nowMs: () => performance.now(),
    // randomUUID is missing where the page is not served securely, as it may be in a workshop network.
    newId: () =>
      Array.from(crypto.getRandomValues(new Uint8Array(16)), (b) => b.toString(16).padStart(2, '0')).join(''),
    async fetchJson(path) {
      try {
        const response = await fetch(path);
        return response.ok ? await response.json() : null;
      } catch {
        return null;
      }
    },
  };
}

/** What this device has kept under a name; null where there is nothing, or nothing that can be read. */
export function kept(name: string): unknown {
  try {
    return JSON.parse(localStorage.getItem(`stillwell.${name}`) ?? 'null');
  } catch {
    return null;
  }
}

/** Keeps it on this device; without storage it lives as long as the page. */
export function keep(name: string, value: unknown): void {
  try {
    localStorage.setItem(`stillwell.${name}`, JSON.stringify(value));
  } catch {
    // Full, or not allowed: the page works all the same.
  }
}

/** The technician's name, typed once. */
export function keptActor(): string {
  try {
    return localStorage.getItem(ACTOR) ?? '';
  } catch {
    return '';
  }
}

export function keepActor(name: string): void {
  try {
    localStorage.setItem(ACTOR, name);
  } catch {
    // Without storage the name lives as long as the page.
  }
}
