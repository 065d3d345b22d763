/** `stillwell ports`: the serial ports, by the names that stay. */
import { printable } from '../config/mistake.ts';
import { ERRORS } from '../errors.ts';
import { listPorts, type PortRow } from '../links/ports.ts';
import type { Out } from './out.ts';

const STAYS: Readonly<Record<PortRow['by'], string>> = {
  id: 'this device, in any socket',
  socket: 'whatever is in this socket',
  name: 'only until the next plugging',
};

/** Answers the exit code, 0 also where there are none. */
export async function ports(out: Out, list: () => Promise<readonly PortRow[]> = listPorts): Promise<number> {
  const rows = await list();
  if (rows.length === 0) {
    const { words, cause, todo } = ERRORS['no-ports'];
    out.write(`${words} ${cause}\n${todo}\n`);
    return 0;
  }
  const table = [
    ['write in bench.yaml', 'leads to', 'now at', 'device'],
    ...rows.map((row) => [row.stable, STAYS[row.by], row.path, deviceOf(row)].map(printable)),
  ];
  const widths = table.reduce<number[]>(
    (most, row) => row.map((cell, column) => Math.max(most[column] ?? 0, [...cell].length)),
    [],
  );
  for (const row of table) {
    out.write(
      `${row
        .map((cell, column) => cell + ' '.repeat((widths[column] ?? 0) - [...cell].length))
        .join('  ')
        .trimEnd()}\n`,
    );
  }
  return 0;
}

function deviceOf({ manufacturer, serialNumber, vendorId, productId }: PortRow): string {
  const usb = vendorId === null ? '' : `${vendorId}:${productId ?? '?'}`;
  const serial = serialNumber === null ? '' : `no. ${serialNumber}`;
  return [manufacturer ?? '', usb, serial].filter((part) => part !== '').join(', ');
}
