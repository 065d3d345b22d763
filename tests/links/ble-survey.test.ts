/** What `stillwell ports` hears. */
import { expect, test } from 'vitest';
import { BleDevice, sig } from '../../simulators/ble-device.ts';
import { bleSurvey } from '../../src/links/ble-survey.ts';
import { bluez } from '../../src/links/bluez.ts';
import { virtualClock } from '../../src/links/clock.ts';
import { describeWithDbus } from '../simulators/needs-dbus.ts';
import { ADDRESS, bleRig } from './ble-rig.ts';
import { runFor } from './virtual-time.ts';

describeWithDbus('a survey of Bluetooth devices', () => {
  test('tells what is heard, the strongest first, not what is only remembered, and leaves the radio alone', async () => {
    const rig = await bleRig();
    rig.device.rssi = -70;
    const near = new BleDevice('C0:FF:EE:00:00:02', {
      services: [sig('1809')],
      serviceData: { [sig('1809')]: Uint8Array.of(5) },
    });
    near.rssi = -40;
    rig.service.place(near);
    const gone = new BleDevice('C0:FF:EE:00:00:03', {});
    rig.service.remember(gone);
    const clock = virtualClock();
    const surveying = bleSurvey(clock, bluez(rig.bus.address));
    while (rig.service.calls.StartDiscovery !== 1) await rig.roundTrip();
    for (let trips = 0; trips < 3; trips++) await rig.roundTrip();
    await runFor(clock, 5_000_000);
    const survey = await surveying;
    expect(survey).toMatchObject({ kind: 'heard', radio: 'hci0', overUs: 5_000_000 });
    const devices = survey.kind === 'heard' ? survey.devices : [];
    expect(devices.map(({ address, rssiDbm, services }) => [address, rssiDbm, services])).toEqual([
      ['C0:FF:EE:00:00:02', -40, ['1809']],
      [ADDRESS, -70, ['181a']],
    ]);
    expect(devices[0]?.serviceData).toEqual({ '1809': Uint8Array.of(5) });
    while (rig.service.scanning > 0) await rig.roundTrip();
    expect(clock.nextUs()).toBeNull();
    await rig.dispose();
  });

  test('says why there is nothing to hear', async () => {
    const rig = await bleRig();
    rig.service.power(false);
    const survey = await bleSurvey(virtualClock(), bluez(rig.bus.address));
    expect(survey).toMatchObject({ kind: 'none', fault: { reason: 'radio-off' } });
    await rig.dispose();
  });
});
