/** `stillwell ports`: what is printed for the ports that are there. */
import { expect, test } from 'vitest';
import { ports } from '../../src/commands/ports.ts';
import type { BleSurvey } from '../../src/links/ble-survey.ts';
import { LinkFault } from '../../src/links/contract.ts';
import type { PortRow } from '../../src/links/ports.ts';

const NO_BLUETOOTH = {
  kind: 'none',
  fault: new LinkFault('no-bluetooth', 'there is no system bus at /run/none'),
} as const;
const NOT_THERE = ['', 'No Bluetooth: there is no system bus at /run/none', ''];

async function run(rows: readonly PortRow[], survey: BleSurvey = NO_BLUETOOTH): Promise<string> {
  let said = '';
  const out = {
    write(text: string) {
      said += text;
    },
  };
  expect(
    await ports(
      out,
      async () => rows,
      async () => survey,
    ),
  ).toBe(0);
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
      ...NOT_THERE,
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
      'Plug the board in with a data cable and run `stillwell ports` again; on Linux `sudo dmesg` shows what the system saw.\n' +
      NOT_THERE.join('\n'),
  );
});

const silent = { services: [], serviceData: {}, manufacturerData: {}, arrived: null } as const;

test('Bluetooth devices have a row each, with signal, services and what they advertise', async () => {
  const said = await run([], {
    kind: 'heard',
    radio: 'hci0',
    overUs: 5_000_000,
    devices: [
      {
        ...silent,
        address: 'C0:FF:EE:00:00:01',
        name: 'probe \u{1b}[2J',
        rssiDbm: -48,
        services: ['181a', '180f'],
        serviceData: { '181a': Uint8Array.of(1, 0x0f) },
        manufacturerData: { 255: Uint8Array.of(7) },
      },
      { ...silent, address: 'C0:FF:EE:00:00:02', name: null, rssiDbm: null },
    ],
  });
  expect(said).not.toContain('\u{1b}');
  expect(said.split('\n').slice(-5)).toEqual([
    'Bluetooth LE, heard within 5 s by hci0:',
    expect.stringMatching(/^write as address +signal +name +services +advertised$/),
    expect.stringMatching(
      /^C0:FF:EE:00:00:01 {2}-48 dBm {2}probe .* {2}181a, 180f {2}service-data 181a: 01 0f; manufacturer-data 00ff: 07$/,
    ),
    'C0:FF:EE:00:00:02',
    '',
  ]);
});

test('silence in the air is told as that', async () => {
  const said = await run([], { kind: 'heard', radio: 'hci0', overUs: 5_000_000, devices: [] });
  expect(said).toContain('Bluetooth: no device was heard within 5 s by hci0.\n');
});
