import { describe, expect, it } from 'vitest';
import { type ListedPort, listPorts, mergePorts, type PortLink } from '../../src/links/ports.ts';

const ADAPTER: ListedPort = {
  path: '/dev/ttyUSB0',
  manufacturer: 'Invented Works',
  serialNumber: 'A1',
  vendorId: '1209',
  productId: '0001',
};
const BUILT_IN: ListedPort = { path: '/dev/ttyAMA0', manufacturer: undefined, serialNumber: undefined };

const byId = (name: string, target: string): PortLink => ({ by: 'id', link: `/dev/serial/by-id/${name}`, target });
const bySocket = (name: string, target: string): PortLink => ({
  by: 'socket',
  link: `/dev/serial/by-path/${name}`,
  target,
});

describe('the list of ports', () => {
  it('names a device by its identity, and a built-in port by its name', () => {
    const links = [byId('usb-Invented_A1-if00', '/dev/ttyUSB0'), bySocket('usb-0:1:1.0', '/dev/ttyUSB0')];
    expect(mergePorts([BUILT_IN, ADAPTER], links, 'linux')).toEqual([
      { ...ADAPTER, stable: '/dev/serial/by-id/usb-Invented_A1-if00', by: 'id' },
      {
        path: '/dev/ttyAMA0',
        stable: '/dev/ttyAMA0',
        by: 'name',
        manufacturer: null,
        serialNumber: null,
        vendorId: null,
        productId: null,
      },
    ]);
  });

  it('tells two devices that look the same apart by their sockets', () => {
    const plain = { vendorId: '1209', productId: '0002' };
    const listed = [
      { ...plain, path: '/dev/ttyUSB1' },
      { ...plain, path: '/dev/ttyUSB0' },
      { ...ADAPTER, path: '/dev/ttyUSB2' },
    ];
    const links = [
      byId('usb-0002-if00', '/dev/ttyUSB1'),
      bySocket('usb-0:1:1.0', '/dev/ttyUSB0'),
      bySocket('usb-0:2:1.0', '/dev/ttyUSB1'),
      byId('usb-Invented_A1-if00', '/dev/ttyUSB2'),
    ];
    expect(mergePorts(listed, links, 'linux').map(({ path, stable, by }) => [path, stable, by])).toEqual([
      ['/dev/ttyUSB2', '/dev/serial/by-id/usb-Invented_A1-if00', 'id'],
      ['/dev/ttyUSB0', '/dev/serial/by-path/usb-0:1:1.0', 'socket'],
      ['/dev/ttyUSB1', '/dev/serial/by-path/usb-0:2:1.0', 'socket'],
    ]);
  });

  it('keeps two devices of one kind apart by their serial numbers', () => {
    const links = [byId('A1', '/dev/ttyUSB0'), byId('A2', '/dev/ttyUSB1')];
    const rows = mergePorts([ADAPTER, { ...ADAPTER, path: '/dev/ttyUSB1', serialNumber: 'A2' }], links, 'linux');
    expect(rows.map(({ stable }) => stable)).toEqual(['/dev/serial/by-id/A1', '/dev/serial/by-id/A2']);
  });

  it('shows a port that is known by its links alone', () => {
    const rows = mergePorts([], [byId('usb-X', '/dev/ttyACM0')], 'linux');
    expect(rows).toMatchObject([{ path: '/dev/ttyACM0', stable: '/dev/serial/by-id/usb-X', by: 'id', vendorId: null }]);
  });

  it('takes the shortest of several links, sorts by kind and then by number', () => {
    const links = [bySocket('pci-0-usbv2-0:1', '/dev/ttyUSB10'), bySocket('pci-0-usb-0:1', '/dev/ttyUSB10')];
    const listed = ['/dev/ttyS10', '/dev/ttyUSB10', '/dev/ttyS2'].map((path) => ({ path }));
    expect(mergePorts(listed, links, 'linux').map(({ stable }) => stable)).toEqual([
      '/dev/serial/by-path/pci-0-usb-0:1',
      '/dev/ttyS2',
      '/dev/ttyS10',
    ]);
  });

  it('lists the call-out twin on macOS, once', () => {
    const rows = mergePorts([{ path: '/dev/tty.usbmodem1' }, { path: '/dev/cu.usbmodem1' }], [], 'darwin');
    expect(rows.map(({ path, stable, by }) => [path, stable, by])).toEqual([
      ['/dev/cu.usbmodem1', '/dev/cu.usbmodem1', 'name'],
    ]);
  });

  it('can be read from this machine, whatever is plugged in, with or without udev', async () => {
    const path = process.env.PATH;
    const rows = await listPorts();
    process.env.PATH = '/nonexistent';
    try {
      expect(Array.isArray(await listPorts())).toBe(true);
    } finally {
      process.env.PATH = path;
    }
    for (const row of rows) {
      expect(row.path).not.toBe('');
      expect(row.stable).not.toBe('');
      expect(['id', 'socket', 'name']).toContain(row.by);
    }
  });
});
