/**
 * Values as lines, so that what a Bluetooth device sends goes the way of every other frame: its name, a blank, its
 * bytes in hexadecimal, a line feed. A value is never cut, so a line is always a whole one.
 */
import { hexOf } from './ble-find.ts';
import type { Heard } from './ble-stack.ts';

/** Goes before the first line: the line stage takes what comes before a line end for the rest of a cut line. */
export const START = Uint8Array.of(0x0a);

export function valueLine(name: string, value: Uint8Array): Uint8Array {
  return Buffer.from(`${name} ${hexOf(value)}\n`, 'latin1');
}

export function advertisedLines({ serviceData, manufacturerData }: NonNullable<Heard['arrived']>): Uint8Array[] {
  return [
    ...Object.entries(serviceData).map(([uuid, bytes]) => valueLine(`service-data/${uuid}`, bytes)),
    ...Object.entries(manufacturerData).map(([company, bytes]) =>
      valueLine(`manufacturer-data/${Number(company).toString(16).padStart(4, '0')}`, bytes),
    ),
  ];
}
