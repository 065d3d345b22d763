/** Which characteristics a link wants of a device, and what it does with each. */
import type { BleTake } from '../core/description.ts';
import type { Characteristic } from './ble-stack.ts';
import { LinkFault } from './contract.ts';

export interface Wanted {
  /** As in the bench file. */
  readonly name: string;
  readonly characteristic: Characteristic;
  readonly how: 'subscribe' | 'read' | 'write';
}

/** A LinkFault `lacks-value` or `ambiguous` where the device has none, or several of the name. */
export function wantedOf(take: Exclude<BleTake, { kind: 'advertised' }>, all: readonly Characteristic[]): Wanted[] {
  if (take.kind === 'text') {
    const from = called(take.from, all);
    if (!from.sends) throw cannot(take.from, 'sends nothing of itself');
    const wanted: Wanted[] = [{ name: take.from, characteristic: from, how: 'subscribe' }];
    if (take.to === null) return wanted;
    const to = called(take.to, all);
    if (to.writable === null) throw cannot(take.to, 'cannot be written to');
    return [...wanted, { name: take.to, characteristic: to, how: 'write' }];
  }
  const notify = take.notify.map((name): Wanted => {
    const characteristic = called(name, all);
    if (!characteristic.sends && !characteristic.readable) throw cannot(name, 'neither sends nor can be read');
    return { name, characteristic, how: characteristic.sends ? 'subscribe' : 'read' };
  });
  const read = take.read.map((name): Wanted => {
    const characteristic = called(name, all);
    if (!characteristic.readable) throw cannot(name, 'cannot be read');
    return { name, characteristic, how: 'read' };
  });
  return [...notify, ...read];
}

function called(name: string, all: readonly Characteristic[]): Characteristic {
  const [uuid = '', place] = name.split('.');
  const same = all.filter((one) => one.uuid === uuid);
  if (place === undefined && same.length > 1) {
    const names = same.map((_, index) => `${uuid}.${index + 1}`).join(', ');
    throw new LinkFault('ambiguous', `it has ${same.length} characteristics ${uuid}: write one of ${names}`);
  }
  const found = same[place === undefined ? 0 : Number(place) - 1];
  if (found !== undefined) return found;
  const names = [...new Set(all.map((one) => one.uuid))];
  const has = names.length === 0 ? 'no characteristic' : names.join(', ');
  throw new LinkFault('lacks-value', `it has no characteristic ${name}; it has ${has}`);
}

function cannot(name: string, what: string): LinkFault {
  return new LinkFault('lacks-value', `its characteristic ${name} ${what}`);
}
