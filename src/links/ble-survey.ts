/** Which Bluetooth LE devices are in range: all that is heard for a while. */
import { BLE_LIMITS } from './ble.ts';
import { callQueue } from './ble-calls.ts';
import type { BleRadio, BleStack, Heard } from './ble-stack.ts';
import { bluez } from './bluez.ts';
import { type Clock, LinkFault } from './contract.ts';
import { messageOf } from './door-parts.ts';

/** Most devices advertise at least every 2 s; common practice, no source. */
const LISTEN_US = 5_000_000;

export type BleSurvey =
  | { readonly kind: 'heard'; readonly radio: string; readonly overUs: number; readonly devices: readonly Heard[] }
  | { readonly kind: 'none'; readonly fault: LinkFault };

/** The strongest first. Never rejects. */
export async function bleSurvey(clock: Clock, stack: BleStack = bluez(), overUs = LISTEN_US): Promise<BleSurvey> {
  const devices = new Map<string, Heard>();
  const calls = callQueue(clock);
  const abort = new AbortController();
  const { callUs } = BLE_LIMITS;
  let radio = null as BleRadio | null;
  try {
    await calls.run('the Bluetooth service', callUs, async () => {
      radio = await stack.open(null, (fault) => calls.stop(fault), abort.signal);
    });
    const taken = radio as BleRadio;
    await calls.run('starting to listen', callUs, () =>
      taken.scan((heard) => {
        if (heard.arrived !== null) devices.set(heard.address, heard);
      }),
    );
    const over = new Promise<void>((resolve) => void clock.at(clock.nowUs() + overUs, resolve));
    await calls.run('listening', overUs + callUs, () => over);
    const strength = ({ rssiDbm }: Heard): number => rssiDbm ?? Number.NEGATIVE_INFINITY;
    return {
      kind: 'heard',
      radio: taken.name,
      overUs,
      devices: [...devices.values()].sort((a, b) => strength(b) - strength(a)),
    };
  } catch (error) {
    return { kind: 'none', fault: error instanceof LinkFault ? error : new LinkFault('io-error', messageOf(error)) };
  } finally {
    abort.abort();
    radio?.close();
  }
}
