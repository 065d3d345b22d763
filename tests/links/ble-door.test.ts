/** The Bluetooth door is held to what every door must do, over a real message bus. */
import { describeWithDbus } from '../simulators/needs-dbus.ts';
import { bleRig, TEXT } from './ble-rig.ts';
import { describeDoor } from './door-conformance.ts';
import { latin1 } from './listener.ts';

describeWithDbus('over BlueZ on a private bus', () => {
  describeDoor('Bluetooth', async () => {
    const rig = await bleRig();
    const { device } = rig;
    return {
      door: rig.door({ kind: 'text', ...TEXT }, undefined, undefined, { scanUs: 300_000 }),
      send: (chunk) => device.send(TEXT.from, chunk),
      received: () => latin1(...device.written),
      unplug: () => device.vanish(),
      plug() {
        device.written.length = 0;
        device.appear();
      },
      whenGone: { end: 'link-lost', open: 'not-in-range' },
      dispose: () => rig.dispose(),
    };
  });
});
