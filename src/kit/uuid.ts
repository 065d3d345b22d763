/** Bluetooth UUIDs by their short names: "2a6e" for those of the Bluetooth base, all 36 characters for others. */

/** Bluetooth Core Specification, Vol 3, Part B, 2.5.1: what a short UUID stands for. */
const BASE = '-0000-1000-8000-00805f9b34fb';

/** "2A6E", "0x2a6e", "00002a6e-0000-1000-8000-00805f9b34fb" → "2a6e"; null for what is no UUID. */
export function uuidName(text: string): string | null {
  const lower = text.trim().toLowerCase();
  const short = /^(?:0x)?([0-9a-f]{4}|[0-9a-f]{8})$/.exec(lower)?.[1];
  if (short !== undefined) return short.replace(/^0000/, '');
  if (!/^[0-9a-f]{8}(?:-[0-9a-f]{4}){3}-[0-9a-f]{12}$/.test(lower)) return null;
  return lower.endsWith(BASE) ? lower.slice(0, 8).replace(/^0000/, '') : lower;
}

/**
 * A value of a device as bench files and frames name it: the UUID of a characteristic, with ".2" for the second of
 * several that share it, or "service-data/181a", "manufacturer-data/ffff" for what an advertisement carries.
 */
export function valueName(text: string): string | null {
  const [, kind, rest = ''] = /^(service-data|manufacturer-data)\/(.*)$/i.exec(text.trim()) ?? [];
  if (kind === undefined) return characteristicName(text);
  const name = uuidName(rest);
  if (name === null || (kind.toLowerCase() === 'manufacturer-data' && name.length !== 4)) return null;
  return `${kind.toLowerCase()}/${name}`;
}

/** "2A6E" → "2a6e", "2A6E.2" → "2a6e.2". */
export function characteristicName(text: string): string | null {
  const [, uuid = '', place = ''] = /^(.*?)(\.[1-9]\d?)?$/.exec(text.trim()) ?? [];
  const name = uuidName(uuid);
  return name === null ? null : `${name}${place}`;
}
