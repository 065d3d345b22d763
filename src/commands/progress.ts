/** A bar on a terminal for what takes a while; nothing anywhere else. */
import type { Out } from './out.ts';

export interface Progress {
  /** `words` stand behind the bar. */
  at(done: number, of: number, words?: string): void;
  end(): void;
}

const CELLS = 24;

/** @param terminal where the bar is drawn; null draws none. */
export function progressOn(terminal: Out | null): Progress {
  let drawn = '';
  return {
    at(done, of, words = '') {
      const share = of > 0 ? Math.min(1, Math.max(0, done / of)) : 0;
      const full = Math.round(share * CELLS);
      const bar = `[${'#'.repeat(full)}${'.'.repeat(CELLS - full)}] ${Math.floor(share * 100)} %`;
      if (terminal === null || bar === drawn) return;
      drawn = bar;
      terminal.write(`\r\x1b[K${bar}${words === '' ? '' : `  ${words}`}`);
    },
    end() {
      if (drawn !== '') terminal?.write('\r\x1b[K');
      drawn = '';
    },
  };
}
