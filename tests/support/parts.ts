/** System parts that some tests need: with STILLWELL_ALL=1 a missing one is a failure, else the test skips by name. */
import { existsSync } from 'node:fs';

const all = process.env.STILLWELL_ALL === '1';

/** Path of the browser; null where its tests are to be skipped. */
export const BROWSER =
  ['/usr/bin/chromium', '/usr/bin/chromium-browser'].find((path) => existsSync(path)) ??
  (all ? '/usr/bin/chromium' : null);
export const WITHOUT_BROWSER = BROWSER === null ? ' (skipped: chromium is missing)' : '';
export const BROWSER_FLAGS = [
  '--headless',
  '--no-sandbox',
  '--disable-gpu',
  '--disable-quic',
  '--no-first-run',
  '--disable-background-networking',
  '--disable-component-update',
  '--disable-sync',
];
