/** Which device a calibration belongs to: what it tells of itself comes before its place on the bench. */
import {
  type BenchDescription,
  type ChannelDescription,
  type InstrumentDescription,
  TYPED,
} from '../core/description.ts';
import { bleIdentity } from '../links/ble-find.ts';

export interface Identity {
  readonly name: string;
  /** How it is known, for people. */
  readonly by: string;
  /** Whether it goes with the device, or only with its place on this bench. */
  readonly certain: boolean;
}

/** Of the instrument behind a channel. */
export function identityOf({ instruments }: BenchDescription, { id, instrument }: ChannelDescription): Identity {
  const found = instruments.find((one) => one.id === instrument);
  if (found !== undefined) return ofInstrument(found);
  const where = instrument === TYPED ? 'a display read by a person' : 'an instrument that is not on this bench';
  return { name: `channel ${id}`, by: `the name of its channel (${where})`, certain: false };
}

function ofInstrument({ id, identity, link }: InstrumentDescription): Identity {
  if (identity !== undefined) return { name: identity, by: 'the identity in the bench file', certain: true };
  if (link.kind === 'serial') {
    const { find, identify } = link;
    if (find.by === 'usb' && find.serialNumber !== null)
      return { name: `usb ${find.serialNumber}`, by: 'its USB serial number', certain: true };
    if (identify !== null) return { name: `answers ${identify.expect}`, by: 'its answer', certain: true };
  }
  if (link.kind === 'ble') {
    const name = bleIdentity(link.find);
    if (name !== null) return { name, by: 'what it tells over Bluetooth', certain: true };
  }
  return { name: `instrument ${id}`, by: 'its name on this bench', certain: false };
}
