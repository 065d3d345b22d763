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

/** Debian's Python with python3-pymodbus and python3-serial-asyncio, and socat, for a Modbus slave that others wrote. */
function missingForModbus(): string[] {
  const has = (...paths: readonly string[]): boolean => paths.some((path) => existsSync(path));
  return [
    ...(has('/usr/bin/python3') ? [] : ['python3']),
    ...(has('/usr/lib/python3/dist-packages/pymodbus') ? [] : ['python3-pymodbus']),
    ...(has('/usr/lib/python3/dist-packages/serial_asyncio') ? [] : ['python3-serial-asyncio']),
    ...(has('/usr/bin/socat') ? [] : ['socat']),
  ];
}
const missing = missingForModbus();
export const WITH_MODBUS_PEER = missing.length === 0 || all;
export const WITHOUT_MODBUS_PEER = WITH_MODBUS_PEER ? '' : ` (skipped: ${missing.join(', ')} missing)`;

/** LibreOffice, which reads tables as an office does. */
export const OFFICE =
  ['/usr/bin/soffice', '/usr/bin/libreoffice'].find((path) => existsSync(path)) ?? (all ? '/usr/bin/soffice' : null);
export const WITHOUT_OFFICE = OFFICE === null ? ' (skipped: libreoffice-calc is missing)' : '';
