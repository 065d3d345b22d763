import fs from 'node:fs';
import koffi from 'koffi';

/** The handful of C library calls that make a pseudo-terminal (POSIX.1-2017 posix_openpt; Linux ioctl_tty(2)). */
interface Calls {
  open(flags: number): number;
  grant(fd: number): number;
  unlock(fd: number): number;
  name(fd: number, out: Buffer, size: number): number;
  getAttributes(fd: number, termios: Buffer): number;
  setAttributes(fd: number, when: number, termios: Buffer): number;
  makeRaw(termios: Buffer): void;
  control(fd: number, request: number, type: string, value: number[]): number;
}

/** Numbers of Linux, the same on x86, Arm and RISC-V. */
const O_CLOEXEC = 0o2000000;
const TIOCPKT = 0x5420;
const FIONREAD = 0x541b;
/** Larger than struct termios anywhere. */
const TERMIOS_BYTES = 128;
const NAME_BYTES = 128;

let calls: Calls | null = null;

function libc(): Calls {
  if (calls !== null) return calls;
  const symbols = koffi.load(null);
  calls = {
    open: symbols.func('int posix_openpt(int)'),
    grant: symbols.func('int grantpt(int)'),
    unlock: symbols.func('int unlockpt(int)'),
    name: symbols.func('int ptsname_r(int, _Out_ char *, size_t)'),
    getAttributes: symbols.func('int tcgetattr(int, _Inout_ uint8_t *)'),
    setAttributes: symbols.func('int tcsetattr(int, int, uint8_t *)'),
    makeRaw: symbols.func('void cfmakeraw(_Inout_ uint8_t *)'),
    control: symbols.func('int ioctl(int, unsigned long, ...)'),
  };
  return calls;
}

/** Whether this machine hands out pseudo-terminals that these simulators can use (Linux with /dev/ptmx). */
export function ptysAvailable(): boolean {
  if (process.platform !== 'linux') return false;
  try {
    fs.closeSync(openMaster().fd);
    return true;
  } catch {
    return false;
  }
}

/** A new master, raw, non-blocking, in packet mode, and the path of its slave. */
export function openMaster(): { fd: number; slavePath: string } {
  const c = libc();
  const fd = c.open(fs.constants.O_RDWR | fs.constants.O_NOCTTY | fs.constants.O_NONBLOCK | O_CLOEXEC);
  if (fd < 0) throw failure('posix_openpt');
  try {
    if (c.grant(fd) !== 0) throw failure('grantpt');
    if (c.unlock(fd) !== 0) throw failure('unlockpt');
    const name = Buffer.alloc(NAME_BYTES);
    if (c.name(fd, name, NAME_BYTES) !== 0) throw failure('ptsname_r');
    const termios = Buffer.alloc(TERMIOS_BYTES);
    if (c.getAttributes(fd, termios) !== 0) throw failure('tcgetattr');
    c.makeRaw(termios);
    if (c.setAttributes(fd, 0, termios) !== 0) throw failure('tcsetattr');
    if (c.control(fd, TIOCPKT, 'int *', [1]) !== 0) throw failure('ioctl TIOCPKT');
    return { fd, slavePath: name.toString('latin1', 0, name.indexOf(0)) };
  } catch (error) {
    fs.closeSync(fd);
    throw error;
  }
}

/** Bytes that wait in a slave for its reader. */
export function waitingBytes(slaveFd: number): number {
  const count = [0];
  if (libc().control(slaveFd, FIONREAD, '_Out_ int *', count) !== 0) throw failure('ioctl FIONREAD');
  return count[0] ?? 0;
}

function failure(call: string): Error {
  return new Error(`pseudo-terminal: ${call} failed with errno ${koffi.errno()}`);
}
