/** Which of the listed ports may be the device of a link, and words for how it is found. */
import type { PortFind } from '../core/description.ts';
import { LinkFault } from './contract.ts';
import type { PortRow } from './ports.ts';

/** For messages: "/dev/ttyACM0", "USB 1209:0001 no. A1". */
export function findWords(find: PortFind): string {
  switch (find.by) {
    case 'path':
      return find.path;
    case 'usb': {
      const { vendorId, productId, serialNumber } = find;
      const kind = vendorId === null && productId === null ? '' : ` ${vendorId ?? '*'}:${productId ?? '*'}`;
      return `USB${kind}${serialNumber === null ? '' : ` no. ${serialNumber}`}`;
    }
    case 'answer':
      return 'any';
  }
}

/** Whether the name is given out in the order of plugging, so that it may lead to another device tomorrow. */
export function isMovingName(find: PortFind): boolean {
  return find.by === 'path' && /^(?:\/dev\/tty(?:USB|ACM)\d+|\/dev\/rfcomm\d+)$/.test(find.path);
}

/** The paths to try, in the order of the list; a LinkFault where there is none, or nothing to choose by. */
export function fitting(find: PortFind, rows: readonly PortRow[], asked: boolean): readonly string[] {
  if (find.by === 'path') return [find.path];
  const fits = rows.filter((row) => find.by === 'answer' || isDevice(row, find)).map(({ path }) => path);
  if (fits.length === 0) {
    const listed = rows.length === 0 ? 'no port is listed' : `listed are ${rows.map(rowWords).join(', ')}`;
    throw new LinkFault('not-found', `no port is ${findWords(find)}: ${listed}`);
  }
  if (fits.length > 1 && !asked) throw new LinkFault('ambiguous', `${findWords(find)} is at ${fits.join(' and ')}`);
  return fits;
}

function isDevice(row: PortRow, find: Extract<PortFind, { by: 'usb' }>): boolean {
  const same = (wanted: string | null, found: string | null): boolean =>
    wanted === null || wanted.toLowerCase() === found?.toLowerCase();
  return (
    same(find.vendorId, row.vendorId) &&
    same(find.productId, row.productId) &&
    (find.serialNumber === null || find.serialNumber === row.serialNumber)
  );
}

function rowWords({ path, vendorId, productId, serialNumber }: PortRow): string {
  if (vendorId === null) return path;
  return `${path} (${findWords({ by: 'usb', vendorId, productId, serialNumber })})`;
}
