/** Speed, parity and stop bits as they reach the port. */
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { SerialPort } from 'serialport';
import { expect, test, vi } from 'vitest';
import { PtyPort } from '../../simulators/pty.ts';
import { virtualClock } from '../../src/links/clock.ts';
import { doorFor } from '../../src/links/make.ts';
import { describeWithPtys } from '../simulators/needs-ptys.ts';

describeWithPtys('a serial port is opened', () => {
  test.each([
    [{}, { parity: 'none', stopBits: 1 }],
    [{ parity: 'even' }, { parity: 'even', stopBits: 1 }],
    [
      { parity: 'odd', stopBits: 2 },
      { parity: 'odd', stopBits: 2 },
    ],
  ] as const)('with %j', async (more, expected) => {
    const dir = mkdtempSync(join(tmpdir(), 'stillwell-settings-'));
    const port = new PtyPort(join(dir, 'port'));
    await port.plug();
    const open = vi.spyOn(SerialPort.binding, 'open').mockRejectedValue(new Error('seen'));
    try {
      const link = {
        kind: 'serial',
        find: { by: 'path', path: join(dir, 'port') },
        baud: 19_200,
        identify: null,
      } as const;
      const door = doorFor({ ...link, ...more }, virtualClock());
      await expect(door.open({ onBytes() {}, onEnd() {} })).rejects.toThrow('seen');
      expect(open.mock.calls[0]?.[0]).toMatchObject({ baudRate: 19_200, dataBits: 8, ...expected });
    } finally {
      open.mockRestore();
      await port.unplug();
      rmSync(dir, { recursive: true, force: true });
    }
  });
});
