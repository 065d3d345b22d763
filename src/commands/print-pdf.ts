/** Prints an HTML file to PDF with a Chromium of this computer. */
import { spawnSync } from 'node:child_process';
import { existsSync, mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { delimiter, join, resolve } from 'node:path';
import { pathToFileURL } from 'node:url';
import { StillwellError } from '../errors.ts';

const NAMES = ['chromium', 'chromium-browser', 'chromium-headless-shell'];
const PATIENCE_MS = 60_000;

/** Null where none is in the search path. */
export function findBrowser(searchPath: string): string | null {
  const folders = searchPath.split(delimiter).filter((folder) => folder !== '');
  return NAMES.flatMap((name) => folders.map((folder) => join(folder, name))).find((path) => existsSync(path)) ?? null;
}

/** @throws StillwellError print-failed */
export function printPdf(browser: string, htmlFile: string, pdfFile: string): void {
  const profile = mkdtempSync(join(tmpdir(), 'stillwell-print-'));
  rmSync(pdfFile, { force: true });
  try {
    const flags = [
      '--headless',
      '--disable-gpu',
      '--disable-quic',
      '--no-first-run',
      '--disable-background-networking',
      '--disable-component-update',
      '--disable-sync',
      // It refuses its sandbox to the superuser; the page holds no script and may fetch nothing.
      ...(process.getuid?.() === 0 ? ['--no-sandbox'] : []),
      `--user-data-dir=${profile}`,
      '--no-pdf-header-footer',
      `--print-to-pdf=${resolve(pdfFile)}`,
      pathToFileURL(resolve(htmlFile)).href,
    ];
    const { status, error, stderr } = spawnSync(browser, flags, { timeout: PATIENCE_MS, encoding: 'utf8' });
    if (error !== undefined) throw new StillwellError('print-failed', browser, error.message);
    if (status !== 0 || !existsSync(pdfFile))
      throw new StillwellError('print-failed', browser, stderr.trim().split('\n').at(-1) ?? `exit code ${status}`);
  } finally {
    rmSync(profile, { recursive: true, force: true, maxRetries: 5 });
  }
}
