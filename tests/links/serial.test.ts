import { type ChildProcess, spawn } from 'node:child_process';
import { once } from 'node:events';
import {
  chmodSync,
  chownSync,
  existsSync,
  mkdtempSync,
  realpathSync,
  rmSync,
  statSync,
  symlinkSync,
  writeFileSync,
} from 'node:fs';
import { tmpdir } from 'node:os';
import { dirname, join } from 'node:path';
import { SerialPort } from 'serialport';
import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest';
import { realClock, virtualClock } from '../../src/links/clock.ts';
import type { Clock, Door, LinkFault } from '../../src/links/contract.ts';
import { callOutPath, portReason, serialDoor } from '../../src/links/serial.ts';
import { describeDoor } from './door-conformance.ts';
import { bytes, listener } from './listener.ts';
import { describeOnPtys, openFiles, type TestPort, testPort } from './ptys.ts';
import { runFor, settle } from './virtual-time.ts';

const BAUD = 115_200;
const PATIENT = { timeout: 10_000, interval: 2 };

const doorTo = (path: string, clock: Clock = realClock()): Door => serialDoor({ path, baud: BAUD, clock });

describeOnPtys('a terminal', () => {
  describeDoor('serial', async () => {
    const port = await testPort();
    return {
      door: doorTo(port.path),
      send: (chunk) => port.pty.write(chunk),
      received: port.received,
      unplug: () => port.pty.unplug(),
      plug: port.plug,
      whenGone: { end: 'unplugged', open: 'not-found' },
      dispose: port.dispose,
    };
  });
});

describeOnPtys('the serial door', () => {
  let port: TestPort;
  beforeEach(async () => {
    port = await testPort();
  });
  afterEach(() => port.dispose());

  it('notices the unplug right after a line, every time, without looking at the path', async () => {
    // a clock that stands still: only the hang-up itself can tell
    const door = doorTo(port.path, virtualClock());
    for (let round = 0; round < 30; round++) {
      const heard = listener();
      let pulled: Promise<void> | null = null;
      await door.open({
        onBytes(chunk) {
          heard.onBytes(chunk);
          // before the port is read again: a read that meets the end of file must take it for one
          if (round % 2 === 0) pulled ??= port.pty.unplug();
        },
        onEnd: (reason, detail) => heard.onEnd(reason, detail),
      });
      await port.send(`T=2${round}\r\n`);
      await vi.waitFor(() => expect(heard.text).toBe(`T=2${round}\r\n`), PATIENT);
      await (pulled ?? port.pty.unplug());
      await vi.waitFor(() => expect(heard.ends.map(({ reason }) => reason)).toEqual(['unplugged']), PATIENT);
      await port.plug();
    }
  });

  it('notices the unplug in the middle of a line and while nothing is said', async () => {
    const door = doorTo(port.path, virtualClock());
    for (const said of ['T=2', '']) {
      const heard = listener();
      await door.open(heard);
      await port.send(said);
      await vi.waitFor(() => expect(heard.text).toBe(said), PATIENT);
      await port.pty.unplug();
      await vi.waitFor(() => expect(heard.ends.map(({ reason }) => reason)).toEqual(['unplugged']), PATIENT);
      await port.plug();
    }
  });

  it('notices by looking at the path that the device is gone though the port keeps silent', async () => {
    const clock = virtualClock();
    const door = doorTo(port.path, clock);
    const heard = listener();
    const connection = await door.open(heard);
    const terminal = realpathSync(port.path);
    rmSync(port.path);
    await vi.waitFor(async () => {
      await runFor(clock, 100_000);
      expect(heard.ends).toHaveLength(1);
    }, PATIENT);
    expect(heard.ends[0]).toEqual({ reason: 'unplugged', detail: `${port.path} is gone` });
    await connection.close();
    expect(clock.nextUs()).toBeNull();
    symlinkSync(terminal, port.path);
  });

  it('leaves no timer behind when it is closed', async () => {
    const clock = virtualClock();
    const connection = await doorTo(port.path, clock).open(listener());
    expect(clock.nextUs()).not.toBeNull();
    await connection.close();
    expect(clock.nextUs()).toBeNull();
  });

  it('notices that the path leads to another device', async () => {
    const clock = virtualClock();
    const other = await testPort();
    try {
      const heard = listener();
      await doorTo(port.path, clock).open(heard);
      for (let i = 0; i < 5; i++) await runFor(clock, 100_000);
      expect(heard.ends).toEqual([]);
      const terminal = realpathSync(port.path);
      rmSync(port.path);
      symlinkSync(realpathSync(other.path), port.path);
      await vi.waitFor(async () => {
        await runFor(clock, 100_000);
        expect(heard.ends.map(({ reason }) => reason)).toEqual(['unplugged']);
      }, PATIENT);
      rmSync(port.path);
      symlinkSync(terminal, port.path);
    } finally {
      await other.dispose();
    }
  });

  it('frees every file over 50 cycles of plug, line, unplug', async () => {
    const door = doorTo(port.path);
    const cycle = async (round: number): Promise<void> => {
      const heard = listener();
      const connection = await door.open(heard);
      await port.send(`${round}\n`);
      await vi.waitFor(() => expect(heard.text).toBe(`${round}\n`), PATIENT);
      await connection.write(bytes(`answer ${round}`));
      await vi.waitFor(() => expect(port.received()).toBe(`answer ${round}`), PATIENT);
      if (round % 2 === 0) await connection.close();
      await port.pty.unplug();
      await vi.waitFor(() => expect(heard.ends).toHaveLength(1), PATIENT);
      await connection.close();
      await port.plug();
    };
    await cycle(0);
    const before = openFiles();
    for (let round = 1; round <= 50; round++) await cycle(round);
    expect(openFiles()).toBe(before);
  });

  it('carries 2 MB both ways at once without losing or changing a byte', async () => {
    const heard = listener();
    const connection = await doorTo(port.path).open(heard);
    const block = Buffer.from(Array.from({ length: 50_000 }, (_, i) => (i * 31) & 0xff));
    const blocks = Array.from({ length: 40 }, () => block);
    await Promise.all([...blocks.map((part) => port.pty.write(part)), ...blocks.map((part) => connection.write(part))]);
    const whole = Buffer.concat(blocks).toString('latin1');
    await vi.waitFor(() => expect(heard.text.length).toBe(whole.length), PATIENT);
    await vi.waitFor(() => expect(port.received().length).toBe(whole.length), PATIENT);
    expect(heard.text === whole).toBe(true);
    expect(port.received() === whole).toBe(true);
    await connection.close();
  });

  it('still hears the device while a write waits for it to read', async () => {
    // a terminal without anybody at its other end to read
    const { openMaster } = await import('../../simulators/libc.ts');
    const { closeSync, writeSync } = await import('node:fs');
    const { fd, slavePath } = openMaster();
    const clock = virtualClock();
    const heard = listener();
    const connection = await doorTo(slavePath, clock).open(heard);
    let written = false;
    const outcome = connection.write(new Uint8Array(1_000_000)).then(
      () => {
        written = true;
      },
      (error: unknown) => error,
    );
    await vi.waitFor(() => expect(clock.nextUs()).toBeLessThan(100_000), PATIENT);
    writeSync(fd, 'T=20.5\n');
    await vi.waitFor(() => expect(heard.text).toBe('T=20.5\n'), PATIENT);
    expect(written).toBe(false);
    const closing = connection.close();
    expect(await outcome).toMatchObject({ reason: 'stopped' });
    await runFor(clock, 10_000);
    await closing;
    closeSync(fd);
  });

  describe('with the port held by a second process', () => {
    let holder: ChildProcess;
    beforeEach(async () => {
      const program = `import { SerialPort } from 'serialport';
        const port = new SerialPort({ path: process.argv[1], baudRate: ${BAUD} }, (error) => console.log(error ?? 'held'));
        port.resume();`;
      holder = spawn(process.execPath, ['--input-type=module', '-e', program, port.path], {
        stdio: ['ignore', 'pipe', 'inherit'],
      });
      const [said] = (await once(holder.stdout as NodeJS.ReadableStream, 'data')) as [Buffer];
      expect(said.toString()).toBe('held\n');
    });
    afterEach(() => holder.kill());

    it('S5: says that it is busy and who holds it, and opens once the other lets go', async () => {
      const door = doorTo(port.path);
      const before = openFiles();
      await expect(door.open(listener())).rejects.toMatchObject({
        reason: 'busy',
        message: expect.stringMatching(new RegExp(`; held by \\S+ \\(process ${holder.pid}\\)$`)),
      });
      await expect(door.open(listener())).rejects.toMatchObject({ reason: 'busy' });
      expect(openFiles()).toBe(before);
      holder.kill();
      await once(holder, 'exit');
      const heard = listener();
      const connection = await door.open(heard);
      await port.send('mine');
      await vi.waitFor(() => expect(heard.text).toBe('mine'), PATIENT);
      await connection.close();
    });
  });

  it.each([
    [0o000, 0, 'group root, mode 000: a udev rule with GROUP="dialout"'],
    [0o600, 5, 'group tty, mode 600: a udev rule with GROUP="dialout"'],
    [0o660, 5, 'group tty, mode 660: `sudo usermod -aG tty \\$USER` and a new login'],
  ])('S7: says that it is forbidden, naming owner, group and mode %o, and what opens it', async (mode, gid, words) => {
    const terminal = realpathSync(port.path);
    chmodSync(dirname(port.path), 0o755);
    if (process.geteuid?.() === 0) chownSync(terminal, 0, gid);
    else if (gid !== 0) return;
    chmodSync(terminal, mode);
    const asNobody = process.geteuid?.() === 0;
    let error: unknown;
    if (asNobody) process.seteuid?.(65_534);
    try {
      error = await doorTo(port.path)
        .open(listener())
        .catch((thrown: unknown) => thrown);
    } finally {
      if (asNobody) process.seteuid?.(0);
    }
    expect(error).toMatchObject({ reason: 'forbidden' });
    const expected = asNobody ? `belongs to root and ${words}` : 'belongs to [a-z]\\w* and group [a-z]\\w*, mode 000: ';
    expect((error as Error).message).toMatch(new RegExp(`${terminal} ${expected}`));
    expect(statSync(terminal).isCharacterDevice()).toBe(true);
  });

  it('closes a port that opens after it was given up', async () => {
    const door = doorTo(port.path);
    const before = openFiles();
    const controller = new AbortController();
    const open = SerialPort.binding.open.bind(SerialPort.binding) as (options: object) => Promise<{ isOpen: boolean }>;
    const opened: { isOpen: boolean }[] = [];
    const spy = vi.spyOn(SerialPort.binding, 'open').mockImplementationOnce(async (options: object) => {
      controller.abort();
      const late = await open(options);
      opened.push(late);
      return late as never;
    });
    await expect(door.open(listener(), controller.signal)).rejects.toMatchObject({ reason: 'stopped' });
    spy.mockRestore();
    // waits for the one that was given up, which holds the lock
    const connection = await door.open(listener());
    expect(opened.map(({ isOpen }) => isOpen)).toEqual([false]);
    await connection.close();
    expect(openFiles()).toBe(before);
  });

  it('S17: waits for its own last port to be closed before it opens the next', async () => {
    const door = doorTo(port.path);
    const open = SerialPort.binding.open.bind(SerialPort.binding) as (options: object) => Promise<{
      close(): Promise<void>;
    }>;
    let free = (): void => {};
    const freed = new Promise<void>((resolve) => {
      free = resolve;
    });
    const spy = vi.spyOn(SerialPort.binding, 'open').mockImplementationOnce(async (options: object) => {
      const slow = await open(options);
      const close = slow.close.bind(slow);
      slow.close = () => freed.then(close);
      return slow as never;
    });
    const heard = listener();
    const first = await door.open(heard);
    const closing = first.close();
    expect(heard.ends).toHaveLength(1);
    const opening = door.open(listener());
    opening.catch(() => {});
    for (let turn = 0; turn < 100; turn++) await settle();
    expect(spy).toHaveBeenCalledTimes(1);
    free();
    await closing;
    const connection = await opening;
    spy.mockRestore();
    await connection.close();
  });

  it('does not even open a port when given up before', async () => {
    const door = doorTo(port.path);
    const spy = vi.spyOn(SerialPort.binding, 'open');
    await expect(door.open(listener(), AbortSignal.abort())).rejects.toMatchObject({ reason: 'stopped' });
    const connection = await door.open(listener());
    expect(spy).toHaveBeenCalledTimes(1);
    spy.mockRestore();
    await connection.close();
  });

  it('S18: gives up a port that does not open within 5 s', async () => {
    const clock = virtualClock();
    const door = doorTo(port.path, clock);
    let answer: (error: Error) => void = () => {};
    const spy = vi.spyOn(SerialPort.binding, 'open').mockImplementationOnce(
      () =>
        new Promise<never>((_, reject) => {
          answer = reject;
        }),
    );
    const opening = door.open(listener());
    const outcome = expect(opening).rejects.toMatchObject({ reason: 'timed-out' });
    await vi.waitFor(() => expect(spy).toHaveBeenCalledTimes(1), PATIENT);
    await runFor(clock, 5_000_000);
    await outcome;
    answer(new Error('Error: Input/output error, cannot open it'));
    spy.mockRestore();
    const connection = await door.open(listener());
    await connection.close();
  });

  it('hands nothing over that waited in the port before it was opened', async () => {
    await port.send('T=99.9\nT=99.8\n');
    const heard = listener();
    const connection = await doorTo(port.path).open(heard);
    await port.send('T=20.5\n');
    await vi.waitFor(() => expect(heard.text).toContain('T=20.5\n'), PATIENT);
    expect(heard.text).toBe('T=20.5\n');
    await connection.close();
  });

  it('never opens what its path led to earlier', async () => {
    await port.pty.unplug();
    const door = doorTo(port.path);
    await expect(door.open(listener())).rejects.toMatchObject({ reason: 'not-found' });
    await port.plug();
    const connection = await door.open(listener());
    await connection.close();
  });
});

describe.skipIf(process.platform === 'win32')('the serial door, given a path that is no port', () => {
  let folder: string;
  beforeEach(() => {
    folder = mkdtempSync(join(tmpdir(), 'links-'));
  });
  afterEach(() => rmSync(folder, { recursive: true, force: true }));

  it('refuses a bare file, a link to one, a folder and a device that is no port, without opening any', async () => {
    const file = join(folder, 'file');
    const link = join(folder, 'link');
    const toConsole = join(folder, 'ttyUSB0');
    writeFileSync(file, 'unharmed');
    symlinkSync(file, link);
    symlinkSync('/dev/tty1', toConsole);
    const devices = ['null', 'zero', 'mem', 'kmsg', 'sda', 'vda', 'loop0', 'tty', 'tty0', 'tty1', 'console', 'ptmx'];
    const paths = [file, link, folder, toConsole, ...devices.map((name) => `/dev/${name}`)].filter((one) =>
      existsSync(one),
    );
    expect(paths).toContain('/dev/null');
    const spy = vi.spyOn(SerialPort.binding, 'open');
    for (const path of paths) {
      const fault = await doorTo(path)
        .open(listener())
        .catch((error: unknown) => error);
      expect([path, (fault as LinkFault).reason]).toEqual([path, 'not-a-device']);
    }
    expect(spy).not.toHaveBeenCalled();
    spy.mockRestore();
    expect(statSync(file).size).toBe(8);
  });

  it('does not find a missing path, a dangling link, or a path below a file', async () => {
    const dangling = join(folder, 'dangling');
    symlinkSync(join(folder, 'nowhere'), dangling);
    const file = join(folder, 'file');
    writeFileSync(file, '');
    for (const path of [join(folder, 'missing'), dangling, join(file, 'below')]) {
      await expect(doorTo(path).open(listener())).rejects.toMatchObject({ reason: 'not-found' });
    }
  });
});

it('S18: a call-in path of macOS is opened by its call-out twin, and no other path is touched', () => {
  expect(callOutPath('/dev/tty.usbmodem14101', 'darwin')).toBe('/dev/cu.usbmodem14101');
  expect(callOutPath('/dev/cu.usbmodem14101', 'darwin')).toBe('/dev/cu.usbmodem14101');
  expect(callOutPath('/home/me/dev/tty.x', 'darwin')).toBe('/home/me/dev/tty.x');
  expect(callOutPath('/dev/ttyUSB0', 'linux')).toBe('/dev/ttyUSB0');
  expect(callOutPath('/dev/tty.x', 'linux')).toBe('/dev/tty.x');
});

it('every message that opening a port is known to fail with has its reason', () => {
  const table = {
    'Error: No such file or directory, cannot open /dev/ttyUSB0': 'not-found',
    "ENOENT: no such file or directory, realpath '/dev/ttyUSB0'": 'not-found',
    'Opening COM9: File not found': 'not-found',
    'Error: No such device or address, cannot open /dev/ttyUSB0': 'not-found',
    'Error: Permission denied, cannot open /dev/ttyUSB0': 'forbidden',
    "EACCES: permission denied, realpath '/closed/port'": 'forbidden',
    'Error Resource temporarily unavailable Cannot lock port': 'busy',
    'Error: Device or resource busy, cannot open /dev/ttyUSB0': 'busy',
    'Opening COM3: Access denied': 'busy',
    'Error: Inappropriate ioctl for device setting custom baud rate of 13': 'not-a-device',
    'Error: Input/output error, cannot open /dev/ttyS0': 'io-error',
    'Error baud rate of 7 is not supported on your platform': 'io-error',
  };
  for (const [message, reason] of Object.entries(table))
    expect([message, portReason(message)]).toEqual([message, reason]);
});
