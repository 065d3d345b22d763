/** Which serial ports there are, and by which path each is found again after a replug. */
import { readdir, readFile, realpath } from 'node:fs/promises';
import { basename } from 'node:path';
import { SerialPort } from 'serialport';
import { callOutPath } from './serial.ts';

export interface PortRow {
  /** Where the system has put it this time. */
  readonly path: string;
  /** What to write into bench.yaml. */
  readonly stable: string;
  /** What keeps `stable` the same: the device's identity, the socket that it is plugged into, or nothing but its name. */
  readonly by: 'id' | 'socket' | 'name';
  readonly manufacturer: string | null;
  readonly serialNumber: string | null;
  readonly vendorId: string | null;
  readonly productId: string | null;
}

/** A port as the library lists it. */
export interface ListedPort {
  readonly path: string;
  readonly manufacturer?: string | undefined;
  readonly serialNumber?: string | undefined;
  readonly vendorId?: string | undefined;
  readonly productId?: string | undefined;
}

/** A link below /dev/serial and the port that it leads to. */
export interface PortLink {
  readonly by: 'id' | 'socket';
  readonly link: string;
  readonly target: string;
}

const LINK_FOLDERS = [
  { by: 'id', folder: '/dev/serial/by-id' },
  { by: 'socket', folder: '/dev/serial/by-path' },
] as const;

export async function listPorts(): Promise<readonly PortRow[]> {
  const onLinux = process.platform === 'linux';
  const listed = await SerialPort.list().catch((error: unknown) => {
    // a system without udev still has its links
    if (onLinux) return [];
    throw error;
  });
  const links = onLinux ? await readLinks() : [];
  const present = await Promise.all(listed.map(async (port) => (onLinux && (await isVacant(port.path)) ? [] : [port])));
  return mergePorts(present.flat(), links, process.platform);
}

/**
 * One row for each port, those with an identity first. Two devices that look the same share one link by identity, which
 * leads to either: such are told apart by their sockets.
 */
export function mergePorts(
  listed: readonly ListedPort[],
  links: readonly PortLink[],
  platform: NodeJS.Platform,
): readonly PortRow[] {
  const ports = new Map<string, ListedPort>();
  for (const port of listed) {
    const path = callOutPath(port.path, platform);
    ports.set(path, { ...port, path });
  }
  for (const { target } of links) if (!ports.has(target)) ports.set(target, { path: target });

  const all = [...ports.values()];
  const rows = all.map((port): PortRow => {
    const linked = (by: PortLink['by']): PortLink | undefined =>
      links.filter((link) => link.by === by && link.target === port.path).sort(byShortLink)[0];
    const hasDouble = all.some((other) => other !== port && looksSame(other, port));
    const link = (hasDouble ? undefined : linked('id')) ?? linked('socket');
    return {
      path: port.path,
      stable: link?.link ?? port.path,
      by: link?.by ?? 'name',
      manufacturer: port.manufacturer ?? null,
      serialNumber: port.serialNumber ?? null,
      vendorId: port.vendorId ?? null,
      productId: port.productId ?? null,
    };
  });
  const rank = { id: 0, socket: 1, name: 2 };
  return rows.sort((a, b) => rank[a.by] - rank[b.by] || a.path.localeCompare(b.path, 'en', { numeric: true }));
}

function looksSame(a: ListedPort, b: ListedPort): boolean {
  return (
    a.vendorId !== undefined &&
    a.vendorId === b.vendorId &&
    a.productId === b.productId &&
    a.serialNumber === b.serialNumber
  );
}

/** udev may make several links to a port; the shortest is the one to type. */
function byShortLink(a: PortLink, b: PortLink): number {
  return a.link.length - b.link.length || (a.link < b.link ? -1 : 1);
}

async function readLinks(): Promise<readonly PortLink[]> {
  const found = LINK_FOLDERS.map(async ({ by, folder }) => {
    const names = await readdir(folder).catch(() => []);
    return Promise.all(
      names.map(async (name): Promise<PortLink[]> => {
        const link = `${folder}/${name}`;
        const target = await realpath(link).catch(() => null);
        return target === null ? [] : [{ by, link, target }];
      }),
    );
  });
  return (await Promise.all(found)).flat(2);
}

/** Linux names sockets for built-in ports that most machines do not have; type 0 is such a one. */
async function isVacant(path: string): Promise<boolean> {
  const type = await readFile(`/sys/class/tty/${basename(path)}/type`, 'utf8').catch(() => '');
  return type.trim() === '0';
}
