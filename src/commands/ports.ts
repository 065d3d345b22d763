/** `stillwell ports`: the serial ports, by the names that stay, and the Bluetooth devices in range. */
import { printable } from '../config/mistake.ts';
import { ERRORS } from '../errors.ts';
import { hexOf } from '../links/ble-find.ts';
import type { Heard } from '../links/ble-stack.ts';
import { type BleSurvey, bleSurvey } from '../links/ble-survey.ts';
import { realClock } from '../links/clock.ts';
import { listPorts, type PortRow } from '../links/ports.ts';
import type { Out } from './out.ts';

const STAYS: Readonly<Record<PortRow['by'], string>> = {
  id: 'this device, in any socket',
  socket: 'whatever is in this socket',
  name: 'only until the next plugging',
};

/** Answers the exit code, 0 also where there are none. */
export async function ports(
  out: Out,
  list: () => Promise<readonly PortRow[]> = listPorts,
  bluetooth: () => Promise<BleSurvey> = () => bleSurvey(realClock()),
): Promise<number> {
  const rows = await list();
  if (rows.length === 0) {
    const { words, cause, todo } = ERRORS['no-ports'];
    out.write(`${words} ${cause}\n${todo}\n`);
  } else {
    const cells = rows.map((row) => [row.stable, STAYS[row.by], row.path, deviceOf(row)]);
    out.write(table([['write in bench.yaml', 'leads to', 'now at', 'device'], ...cells]));
  }
  out.write(`\n${surveyWords(await bluetooth())}`);
  return 0;
}

function surveyWords(survey: BleSurvey): string {
  if (survey.kind === 'none') return `No Bluetooth: ${printable(survey.fault.message)}\n`;
  const { radio, overUs, devices } = survey;
  const within = `within ${overUs / 1_000_000} s by ${radio}`;
  if (devices.length === 0) {
    return `Bluetooth: no device was heard ${within}.\nWake the device and bring it nearer; one that is connected to something else is silent.\n`;
  }
  const cells = devices.map((heard) => [
    heard.address,
    heard.rssiDbm === null ? '' : `${heard.rssiDbm} dBm`,
    heard.name ?? '',
    heard.services.join(', '),
    dataOf(heard),
  ]);
  const head = ['write as address', 'signal', 'name', 'services', 'advertised'];
  return `Bluetooth LE, heard ${within}:\n${table([head, ...cells])}`;
}

function dataOf({ serviceData, manufacturerData }: Heard): string {
  const shown = (bytes: Uint8Array): string => hexOf(bytes).replace(/(..)(?=.)/g, '$1 ');
  return [
    ...Object.entries(serviceData).map(([uuid, bytes]) => `service-data ${uuid}: ${shown(bytes)}`),
    ...Object.entries(manufacturerData).map(
      ([company, bytes]) => `manufacturer-data ${Number(company).toString(16).padStart(4, '0')}: ${shown(bytes)}`,
    ),
  ].join('; ');
}

function table(rows: readonly (readonly string[])[]): string {
  const shown = rows.map((row) => row.map(printable));
  const widths = shown.reduce<number[]>(
    (most, row) => row.map((cell, column) => Math.max(most[column] ?? 0, [...cell].length)),
    [],
  );
  return shown
    .map((row) => {
      const padded = row.map((cell, column) => cell + ' '.repeat((widths[column] ?? 0) - [...cell].length));
      return `${padded.join('  ').trimEnd()}\n`;
    })
    .join('');
}

function deviceOf({ manufacturer, serialNumber, vendorId, productId }: PortRow): string {
  const usb = vendorId === null ? '' : `${vendorId}:${productId ?? '?'}`;
  const serial = serialNumber === null ? '' : `no. ${serialNumber}`;
  return [manufacturer ?? '', usb, serial].filter((part) => part !== '').join(', ');
}
