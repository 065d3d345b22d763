/** Whether an advertisement is that of the device of a link, and words for how it is known. */
import type { BleFind } from '../core/description.ts';
import type { Heard } from './ble-stack.ts';

/** 'other' where the address is the right one and what it advertises is not. */
export type Fit = 'fits' | 'no' | 'other';

export function fits(find: BleFind, heard: Heard): Fit {
  if (find.address !== null && find.address !== heard.address) return 'no';
  const { service, serviceData, manufacturerData } = find;
  const right =
    (service === null || heard.services.includes(service)) &&
    (serviceData === null || begins(heard.serviceData[serviceData.uuid], serviceData.begins)) &&
    (manufacturerData === null || begins(heard.manufacturerData[manufacturerData.company], manufacturerData.begins));
  if (right) return 'fits';
  // the parts of an advertisement may come one after the other: only what contradicts makes it another device
  const said =
    (serviceData !== null && heard.serviceData[serviceData.uuid] !== undefined) ||
    (manufacturerData !== null && heard.manufacturerData[manufacturerData.company] !== undefined);
  return find.address !== null && said ? 'other' : 'no';
}

function begins(bytes: Uint8Array | undefined, hex: string): boolean {
  return bytes !== undefined && hexOf(bytes).startsWith(hex);
}

export function hexOf(bytes: Uint8Array): string {
  return Buffer.from(bytes.buffer, bytes.byteOffset, bytes.length).toString('hex');
}

/** For messages: "C0:FF:EE:00:00:01", "service data 181a 0102". */
export function bleWords({ address, service, serviceData, manufacturerData }: BleFind): string {
  const company = manufacturerData?.company.toString(16).padStart(4, '0') ?? '';
  return [
    address ?? '',
    service === null ? '' : `service ${service}`,
    serviceData === null ? '' : `service data ${serviceData.uuid} ${serviceData.begins}`.trim(),
    manufacturerData === null ? '' : `manufacturer data ${company} ${manufacturerData.begins}`.trim(),
  ]
    .filter((part) => part !== '')
    .join(', ');
}

/**
 * The device itself, as far as the link knows it: data that it alone advertises where the bench file names some, since
 * they stay when its address changes; else its address.
 */
export function bleIdentity({ address, serviceData, manufacturerData }: BleFind): string | null {
  const own = {
    address: null,
    service: null,
    serviceData: serviceData?.begins ? serviceData : null,
    manufacturerData: manufacturerData?.begins ? manufacturerData : null,
  };
  const words = bleWords(own) || (address ?? '');
  return words === '' ? null : `Bluetooth ${words}`;
}
