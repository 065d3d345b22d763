/** From descriptions to things that work: which door a link needs, which stage a framing needs. */
import type { LinkDescription } from '../core/description.ts';
import type { ByteFrameEvents } from '../kit/byte-frames.ts';
import type { Framing } from '../kit/driver.ts';
import { rtuStage } from '../kit/modbus-rtu.ts';
import { tcpStage } from '../kit/modbus-tcp.ts';
import { bleDoor } from './ble.ts';
import type { BleStack } from './ble-stack.ts';
import { bluez } from './bluez.ts';
import { type Clock, type Door, type FrameStage, LinkFault } from './contract.ts';
import { lineStage, type StageEvents } from './line-stage.ts';
import { listPorts, type PortRow } from './ports.ts';
import { searchDoor } from './search.ts';
import { serialDoor } from './serial.ts';
import { stdinDoor } from './stdin.ts';
import { tcpDoor } from './tcp.ts';

/**
 * @param twins doors of devices in memory, by the name in their description
 * @param list the serial ports that there are
 * @param stack the Bluetooth software of this platform
 */
export function doorFor(
  link: LinkDescription,
  clock: Clock,
  twins: Readonly<Record<string, Door>> = {},
  list: () => Promise<readonly PortRow[]> = listPorts,
  stack: BleStack = bluez(),
): Door {
  switch (link.kind) {
    case 'serial':
      return searchDoor({ link, clock, list, doorTo: (path) => serialDoor({ ...link, path, clock }) });
    case 'ble':
      return bleDoor({ link, clock, stack });
    case 'stdin':
      return stdinDoor();
    case 'tcp':
      return tcpDoor({ host: link.host, port: link.port, clock });
    case 'memory':
      return twins[link.name] ?? lockedDoor(`memory ${link.name}`);
  }
}

/** A stage for one connection. */
export function stageFor(framing: Framing, events: StageEvents & ByteFrameEvents): FrameStage {
  switch (framing.kind) {
    case 'lines':
      return lineStage(framing.capBytes, events);
    case 'modbus-rtu':
      return rtuStage(framing.shapes, events);
    case 'modbus-tcp':
      return tcpStage(framing.shapes, events);
  }
}

function lockedDoor(name: string): Door {
  return { name, open: () => Promise.reject(new LinkFault('not-found', `there is no ${name} in this process`)) };
}
