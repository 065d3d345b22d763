/** Every simulated instrument of text speaks over Bluetooth as over a wire, and one that must be asked can be asked. */
import { afterEach, beforeEach, expect, test } from 'vitest';
import { HexGauge } from '../../simulators/hex-gauge.ts';
import { instruments } from '../../simulators/instruments.ts';
import { Random } from '../../simulators/random.ts';
import { bleIdentity } from '../../src/links/ble-find.ts';
import { lineStage } from '../../src/links/line-stage.ts';
import { describeWithDbus } from '../simulators/needs-dbus.ts';
import { ADDRESS, type BleRig, bleRig, byAddress, climateProbe, notified, TEMPERATURE, TEXT } from './ble-rig.ts';
import { type BleSession, bleSession } from './ble-session.ts';
import { latin1 } from './listener.ts';

/** An attribute's value in one notification at the smallest MTU. */
const PIECE_BYTES = 20;

describeWithDbus('text over Bluetooth', () => {
  let rig: BleRig;
  let session: BleSession;
  beforeEach(async () => {
    rig = await bleRig();
  });
  afterEach(async () => {
    await session.stop();
    await rig.dispose();
  });

  // Modbus is no text: its frames end by their length.
  const ofText = Object.keys(instruments).filter((name) => name !== 'modbus');
  test.each(ofText)('%s gives the frames that a wire gives', async (name) => {
    const sent = Buffer.concat(instruments[name]?.(3, 60).map(({ bytes }) => bytes) ?? []);
    const byWire: string[] = [];
    const stage = lineStage(1100, { onFrame: (bytes) => byWire.push(latin1(bytes)), onDiscard: () => {} });
    stage.push(sent);
    session = bleSession(rig, { kind: 'text', from: TEXT.from, to: null });
    await session.untilLink('open');
    await session.pass(0);
    for (let at = 0; at < sent.length; at += PIECE_BYTES)
      rig.device.send(TEXT.from, sent.subarray(at, at + PIECE_BYTES));
    await session.until(() => session.frames.length >= byWire.length);
    expect(byWire.length).toBeGreaterThan(50);
    expect(session.frames).toEqual(byWire);
  });

  test('a question gets its answer', async () => {
    const gauge = new HexGauge(Random.of(2, 'gauge'));
    const answers: string[] = [];
    rig.device.onWritten = (question) => {
      const { bytes } = gauge.answer(latin1(question));
      answers.push(latin1(bytes).trim());
      rig.device.send(TEXT.from, bytes);
    };
    session = bleSession(rig, { kind: 'text', ...TEXT });
    await session.untilLink('open');
    for (let request = 1; request <= 4; request++) {
      session.write(Buffer.from('READ\r'), request);
      await session.until(() =>
        session.events.some((event) => event.kind === 'write-result' && event.request === request),
      );
      await session.until(() => answers.length === request && session.frames.length === request - 1);
    }
    expect(answers).toHaveLength(4);
    // of the first one nobody knows whether it is whole
    expect(session.frames).toEqual(answers.slice(1));
  });

  test('where the link has nothing to write to, a question is refused, not lost', async () => {
    session = bleSession(rig, notified('2a6e'));
    await session.untilLink('open');
    session.write(Buffer.from('READ\r'), 7);
    await session.until(() => session.events.some(({ kind }) => kind === 'write-result'));
    const result = session.events.find((event) => event.kind === 'write-result');
    expect(result).toMatchObject({ request: 7, ok: false, detail: expect.stringContaining('nothing to write to') });
  });

  test('two probes at once do not disturb each other', async () => {
    const other = climateProbe('C0:FF:EE:00:00:02');
    rig.service.place(other);
    session = bleSession(rig, notified('2a6e'));
    const second = bleSession(rig, notified('2a6e'), byAddress(other.address));
    await session.untilLink('open');
    await second.untilLink('open');
    rig.device.send(TEMPERATURE, Uint8Array.of(1, 0));
    other.send(TEMPERATURE, Uint8Array.of(2, 0));
    rig.device.drop();
    other.send(TEMPERATURE, Uint8Array.of(3, 0));
    await session.untilLink('closed', 'link-lost');
    await second.until(() => second.frames.length === 2);
    expect(second.last?.state).toBe('open');
    expect([session.frames, second.frames]).toEqual([['2a6e 0100'], ['2a6e 0200', '2a6e 0300']]);
    await second.stop();
  });
});

test('B8: the identity of a device is what it alone advertises, else its address', () => {
  const seven = { uuid: '181a', begins: '0107' };
  const moved = { ...byAddress('C0:FF:EE:00:00:99'), serviceData: seven };
  expect(bleIdentity({ ...byAddress(), serviceData: seven })).toBe('Bluetooth service data 181a 0107');
  expect(bleIdentity(moved)).toBe(bleIdentity({ ...byAddress(), serviceData: seven }));
  expect(bleIdentity({ ...moved, serviceData: { ...seven, begins: '0108' } })).not.toBe(bleIdentity(moved));
  expect(bleIdentity(byAddress())).toBe(`Bluetooth ${ADDRESS}`);
  expect(bleIdentity({ ...byAddress(), serviceData: { uuid: '181a', begins: '' } })).toBe(`Bluetooth ${ADDRESS}`);
});
