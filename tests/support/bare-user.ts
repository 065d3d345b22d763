/** Programs of ours run as a user without any rights: needs root and setpriv. */
import { execFileSync } from 'node:child_process';

export const NOBODY = 65_534;
export const AS_NOBODY = ['setpriv', `--reuid=${NOBODY}`, `--regid=${NOBODY}`, '--clear-groups'];

/** Whether another user can run our programs at all: this one may change users, and the checkout may be read. */
export function bareUser(): boolean {
  try {
    execFileSync(AS_NOBODY[0] as string, [
      ...AS_NOBODY.slice(1),
      process.execPath,
      '-e',
      'require("fs").readFileSync("package.json")',
    ]);
    return true;
  } catch {
    return false;
  }
}
