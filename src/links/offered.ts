/** Which devices may be opened at all: serial ports that the system has a driver for, and pseudo-terminals. */
import { readFile } from 'node:fs/promises';

/** A line of /proc/tty/drivers (proc(5)): which device numbers belong to a driver of terminals, and of which type. */
interface TtyDriver {
  readonly major: number;
  readonly first: number;
  readonly last: number;
  readonly type: string;
}

const OPENABLE = ['serial', 'pty:slave'];

/**
 * Whether a character device may be opened as a port. By its device number, whatever its name: a memory device, a
 * console, a controlling terminal or the far end of a pseudo-terminal is none.
 *
 * @param real path without symbolic links
 * @param device number as stat tells it (st_rdev)
 */
export async function isOffered(real: string, device: number, platform: NodeJS.Platform): Promise<boolean> {
  if (platform === 'darwin') return /^\/dev\/(?:cu\.|ttys\d)/.test(real);
  if (platform !== 'linux') return true;
  if (!real.startsWith('/dev/')) return false;
  const table = await readFile('/proc/tty/drivers', 'utf8').catch(() => null);
  // a system that hides the table: by the names that Linux gives to serial ports and pseudo-terminals
  if (table === null) return /^\/dev\/(?:pts\/\d+|tty[A-Z][A-Za-z]*\d+|rfcomm\d+)$/.test(real);
  const { major, minor } = numbersOf(device);
  return ttyDrivers(table).some(
    (one) => OPENABLE.includes(one.type) && one.major === major && minor >= one.first && minor <= one.last,
  );
}

/** The name of a port of Windows; any other path may lead to a disk. */
export function isWindowsPort(path: string): boolean {
  return /^(?:\\\\\.\\)?COM\d{1,3}$/i.test(path);
}

/** As glibc packs them (makedev(3)), for the 12 + 20 bits that Linux uses. */
export function numbersOf(device: number): { readonly major: number; readonly minor: number } {
  return { major: (device >>> 8) & 0xfff, minor: (device & 0xff) | ((device >>> 12) & 0xfff00) };
}

export function ttyDrivers(table: string): readonly TtyDriver[] {
  return table.split('\n').flatMap((line) => {
    const found = /^\S+ +\S+ +(\d+) +(\d+)(?:-(\d+))? +(\S+)/.exec(line);
    if (found === null) return [];
    const [, major, first, last = first, type = ''] = found;
    return [{ major: Number(major), first: Number(first), last: Number(last), type }];
  });
}
