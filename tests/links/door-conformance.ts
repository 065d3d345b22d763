/** What every door must do, written once: memory, TCP and serial are held to the same sentences. */
import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest';
import { LINK_REASONS, type LinkReason } from '../../src/core/events.ts';
import { type Connection, type Door, LinkFault } from '../../src/links/contract.ts';
import { bytes, latin1, listener } from './listener.ts';

/** A device behind a door, with both ends in the hands of the test. */
export interface Rig {
  readonly door: Door;
  /** The device sends; settles when it has left the device. */
  send(chunk: Uint8Array): Promise<void> | void;
  /** What the device has received since it was plugged in. */
  received(): string;
  unplug(): Promise<void> | void;
  plug(): Promise<void> | void;
  /** Reasons that a connection may end with when the device goes, and that an open fails with while it is gone. */
  readonly whenGone: { readonly end: LinkReason; readonly open: LinkReason };
  dispose(): Promise<void> | void;
}

const PATIENT = { timeout: 10_000, interval: 5 };

export function describeDoor(kind: string, makeRig: () => Promise<Rig> | Rig): void {
  describe(`the ${kind} door`, () => {
    let rig: Rig;
    beforeEach(async () => {
      rig = await makeRig();
    });
    afterEach(() => rig.dispose());

    const fault = async (opening: Promise<unknown>): Promise<LinkFault> => {
      const error: unknown = await opening.then(
        () => null,
        (thrown: unknown) => thrown,
      );
      expect(error).toBeInstanceOf(LinkFault);
      return error as LinkFault;
    };

    it('has a name for messages', () => {
      expect(rig.door.name).toMatch(/^\S+ .+/);
    });

    it('hands over every byte in order', async () => {
      const heard = listener();
      const connection = await rig.door.open(heard);
      const parts = Array.from({ length: 200 }, (_, i) => `${i} \x00\xff\r\n`);
      for (const part of parts) await rig.send(bytes(part));
      await vi.waitFor(() => expect(heard.text).toBe(parts.join('')), PATIENT);
      await connection.close();
    });

    it('hands nothing over before open has answered', async () => {
      const heard = listener();
      const opening = rig.door.open({
        onBytes(chunk) {
          expect(answered).toBe(true);
          heard.onBytes(chunk);
        },
        onEnd: () => {},
      });
      let answered = false;
      void opening.then(() => {
        answered = true;
      });
      const connection = await opening;
      await rig.send(bytes('hello'));
      await vi.waitFor(() => expect(heard.text).toBe('hello'), PATIENT);
      await connection.close();
    });

    it('delivers what is written, in order', async () => {
      const connection = await rig.door.open(listener());
      await Promise.all(['a', 'b', 'c\n'].map((text) => connection.write(bytes(text))));
      await vi.waitFor(() => expect(rig.received()).toBe('abc\n'), PATIENT);
      await connection.close();
    });

    it('takes its own copy of what is written', async () => {
      const connection = await rig.door.open(listener());
      const message = bytes('before');
      const writing = connection.write(message);
      message.fill(0x78);
      await writing;
      await vi.waitFor(() => expect(rig.received()).toBe('before'), PATIENT);
      await connection.close();
    });

    it('tells the end exactly once when the device goes, with a reason, and nothing after it', async () => {
      const heard = listener();
      const connection = await rig.door.open(heard);
      await rig.send(bytes('last'));
      await vi.waitFor(() => expect(heard.text).toBe('last'), PATIENT);
      await rig.unplug();
      await vi.waitFor(() => expect(heard.ends).toHaveLength(1), PATIENT);
      expect(heard.ends[0]?.reason).toBe(rig.whenGone.end);
      await connection.close();
      expect(heard.ends).toHaveLength(1);
    });

    it('tells the end exactly once when it is closed, however often', async () => {
      const heard = listener();
      const connection = await rig.door.open(heard);
      await Promise.all([connection.close(), connection.close()]);
      await connection.close();
      expect(heard.ends.map(({ reason }) => reason)).toEqual(['stopped']);
    });

    it('opens again after each end, and the old connection hears nothing of the new one', async () => {
      const old = listener();
      const first = await rig.door.open(old);
      await first.close();
      const fresh = listener();
      const second = await rig.door.open(fresh);
      await rig.send(bytes('new'));
      await vi.waitFor(() => expect(fresh.text).toBe('new'), PATIENT);
      await rig.unplug();
      await vi.waitFor(() => expect(fresh.ends).toHaveLength(1), PATIENT);
      await second.close();
      await rig.plug();
      const third = listener();
      const connection = await rig.door.open(third);
      await rig.send(bytes('newest'));
      await vi.waitFor(() => expect(third.text).toBe('newest'), PATIENT);
      await connection.close();
      expect([old.text, fresh.text]).toEqual(['', 'new']);
      expect([old.late, fresh.late, third.late]).toEqual([[], [], []]);
      expect([old.ends.length, fresh.ends.length, third.ends.length]).toEqual([1, 1, 1]);
    });

    it('opens again straight from the end of the last connection', async () => {
      const fresh = listener();
      const again: Promise<Connection>[] = [];
      const connection = await rig.door.open({
        onBytes: () => {},
        onEnd: () => again.push(rig.door.open(fresh)),
      });
      await connection.close();
      const [next] = await Promise.all(again);
      await rig.send(bytes('again'));
      await vi.waitFor(() => expect(fresh.text).toBe('again'), PATIENT);
      await next?.close();
      expect(fresh.ends.map(({ reason }) => reason)).toEqual(['stopped']);
    });

    it('rejects a write after the end at once, and no later connection delivers it', async () => {
      const heard = listener();
      const dead = await rig.door.open(heard);
      await rig.unplug();
      await vi.waitFor(() => expect(heard.ends).toHaveLength(1), PATIENT);
      const first = await fault(dead.write(bytes('LATE')));
      expect(first.reason).toBe(rig.whenGone.end);
      await rig.plug();
      const alive = await rig.door.open(listener());
      await fault(dead.write(bytes('LATER')));
      await alive.write(bytes('live'));
      await vi.waitFor(() => expect(rig.received()).toBe('live'), PATIENT);
      await alive.close();
      await dead.close();
    });

    it('settles every write that is under way when the connection ends', async () => {
      const connection = await rig.door.open(listener());
      const writes = Array.from({ length: 50 }, () => connection.write(new Uint8Array(4096)));
      const settled = Promise.allSettled(writes);
      await rig.unplug();
      await connection.close();
      expect(await settled).toHaveLength(50);
      await fault(connection.write(bytes('x')));
    });

    it('refuses to open a device that is gone, with a reason from the list', async () => {
      await rig.unplug();
      const { reason, message } = await fault(rig.door.open(listener()));
      expect(reason).toBe(rig.whenGone.open);
      expect(LINK_REASONS).toContain(reason);
      expect(message).not.toBe('');
    });

    it('gives up opening when its signal aborts, and can open afterwards', async () => {
      const heard = listener();
      const already = await fault(rig.door.open(heard, AbortSignal.abort()));
      expect(already.reason).toBe('stopped');
      const controller = new AbortController();
      const opening = rig.door.open(heard, controller.signal);
      controller.abort();
      expect((await fault(opening)).reason).toBe('stopped');
      const fresh = listener();
      const connection = await rig.door.open(fresh, new AbortController().signal);
      await rig.send(bytes('ok'));
      await vi.waitFor(() => expect(fresh.text).toBe('ok'), PATIENT);
      await connection.close();
      expect(latin1(...heard.chunks, ...heard.late)).toBe('');
      expect(heard.ends).toEqual([]);
    });
  });
}
