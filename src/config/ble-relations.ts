/** What must go together in a Bluetooth LE link, and what the link becomes. */
import type { LinkDescription } from '../core/description.ts';
import type { BleKeys } from './ble-schema.ts';
import { type Finding, finding, type Path } from './mistake.ts';
import type { Draft } from './understand.ts';

/** What is taken from the device: one of these groups. */
const TAKES = [['notify', 'read'], ['text'], ['advertised']] as const;

export function ofBle(ble: Draft<BleKeys>, path: Path): Finding[] {
  const found: Finding[] = [];
  const known = 'address' in ble || 'service-data' in ble || ('service' in ble && 'manufacturer-data' in ble);
  if (!known) {
    const words = 'nothing says which device it is';
    found.push(finding(path, words, 'address, or service-data, or service and manufacturer-data', { at: 'key' }));
  }
  const [first, second] = TAKES.filter((group) => group.some((name) => name in ble)).map(
    (group) => group.find((name) => name in ble) as string,
  );
  if (first === undefined) {
    found.push(finding(path, 'nothing is taken from the device', 'notify, read, text or advertised', { at: 'key' }));
  } else if (second !== undefined) {
    const words = `${second} does not go together with ${first}`;
    found.push(finding([...path, second], words, 'notify and read, or text, or advertised', { at: 'key' }));
  }
  for (const name of ['notify', 'read'] as const) {
    const list = ble[name];
    if (list?.length === 0) found.push(finding([...path, name], 'nothing stands here', 'a UUID', { nature: 'empty' }));
  }
  const names = [...(ble.notify ?? []), ...(ble.read ?? [])];
  const twice = names.find((name, index) => names.indexOf(name) !== index);
  if (twice !== undefined) {
    const at = [...path, ble.read?.includes(twice) === true ? 'read' : 'notify'];
    found.push(finding(at, `${twice} is named twice`, 'each UUID once'));
  }
  return found;
}

/** A text that is equal for links to the same device; null where it is not known, or where several may listen. */
export function bleDevice(ble: Draft<BleKeys>): string | null {
  if ('advertised' in ble) return null;
  const { address, service, 'service-data': data, 'manufacturer-data': made } = ble;
  return address ?? JSON.stringify([service, data, made]);
}

export function resolveBle(ble: BleKeys, everyUs: number): LinkDescription {
  const { address, service, 'service-data': data, 'manufacturer-data': made, adapter, text } = ble;
  const find = {
    address: address ?? null,
    service: service ?? null,
    serviceData: data === undefined ? null : { uuid: data.uuid, begins: data.begins ?? '' },
    manufacturerData: made === undefined ? null : { company: made.company, begins: made.begins ?? '' },
  };
  const link = { kind: 'ble', find, adapter: adapter ?? null } as const;
  if (ble.advertised === true) return { ...link, take: { kind: 'advertised' } };
  if (text !== undefined) return { ...link, take: { kind: 'text', from: text.from, to: text.to ?? null } };
  return { ...link, take: { kind: 'values', notify: ble.notify ?? [], read: ble.read ?? [], everyUs } };
}
