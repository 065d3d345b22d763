/** `stillwell ports`: what is printed for the ports that are there. */
import { expect, test } from 'vitest';
import { ports } from '../../src/commands/ports.ts';
import type { PortRow } from '../../src/links/ports.ts';

async function run(rows: readonly PortRow[]): Promise<string> {
  let said = '';
  const out = {
    write(text: string) {
      said += text;
    },
  };
  expect(await ports(out, async () => rows)).toBe(0);
  return said;
}

const nothing = { manufacturer: null, serialNumber: null, vendorId: null, productId: null } as const;

test('each port has a row, with the name that stays first', async () => {
  const said = await run([
    {
      path: '/dev/ttyACM0',
      stable: '/dev/serial/by-id/usb-probe-0001',
      by: 'id',
      manufacturer: 'Bench Works',
      serialNumber: '0001',
      vendorId: '1209',
      productId: '0001',
    },
    { ...nothing, path: '/dev/ttyUSB0', stable: '/dev/serial/by-path/usb-0:1.2', by: 'socket', vendorId: '1209' },
    { ...nothing, path: '/dev/ttyS0', stable: '/dev/ttyS0', by: 'name' },
  ]);
  expect(said).toBe(
    [
      'write in bench.yaml               leads to                      now at        device',
      '/dev/serial/by-id/usb-probe-0001  this device, in any socket    /dev/ttyACM0  Bench Works, 1209:0001, no. 0001',
      '/dev/serial/by-path/usb-0:1.2     whatever is in this socket    /dev/ttyUSB0  1209:?',
      '/dev/ttyS0                        only until the next plugging  /dev/ttyS0',
      '',
    ].join('\n'),
  );
});

test('a device cannot steer the terminal by its name', async () => {
  const said = await run([
    { ...nothing, path: '/dev/ttyS0', stable: '/dev/ttyS0', by: 'name', manufacturer: '\u{1b}[2J' },
  ]);
  expect(said).not.toContain('\u{1b}');
});

test('where there is no port, it says what to do', async () => {
  expect(await run([])).toBe(
    'No serial port is found. Nothing is plugged in, the cable only charges, or the system has no driver for the adapter.\n' +
      'Plug the board in with a data cable and run `stillwell ports` again; on Linux `sudo dmesg` shows what the system saw.\n',
  );
});
