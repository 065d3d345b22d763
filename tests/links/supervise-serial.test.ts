import { afterEach, beforeEach, expect, it, vi } from 'vitest';
import { realClock } from '../../src/links/clock.ts';
import { serialDoor } from '../../src/links/serial.ts';
import { type LinkEvent, type Supervised, supervise } from '../../src/links/supervise.ts';
import { bytes, told } from './listener.ts';
import { describeOnPtys, openFiles, type TestPort, testPort } from './ptys.ts';

const PATIENT = { timeout: 10_000, interval: 5 };

describeOnPtys('a supervised serial port', () => {
  const clock = realClock();
  let port: TestPort;
  let link: Supervised;
  let events: { atUs: number; event: LinkEvent }[];

  beforeEach(async () => {
    port = await testPort();
    events = [];
    link = supervise({
      door: serialDoor({ path: port.path, baud: 115_200, clock }),
      instrument: 'probe',
      framing: { kind: 'lines', capBytes: 128 },
      clock,
      intervalUs: 500_000,
      onEvent: (event) => events.push({ atUs: clock.nowUs(), event }),
    });
  });
  afterEach(async () => {
    await link.stop();
    await port.dispose();
  });

  const lines = (): string[] => events.map(({ event }) => told(event));
  const heard = async (line: string): Promise<number> => {
    await vi.waitFor(() => expect(lines()).toContain(line), PATIENT);
    return events.find(({ event }) => told(event) === line)?.atUs ?? Number.NaN;
  };

  it.each([
    ['right after a line', 'x\nT=20.5\n', 'frame T=20.5 #1', []],
    ['in the middle of a line', 'x\nT=20.5\nT=2', 'frame T=20.5 #1', ['discard cut-tail 3 T=2 #1']],
  ])('unplugged %s: known within 2 s, back within 3 s, nothing glued', async (_, said, lastFrame, cut) => {
    await heard('open connected #1');
    await port.send(said);
    await heard(lastFrame);
    await vi.waitFor(() => expect(port.pty.unread()).toBe(0), PATIENT);
    const pulledUs = clock.nowUs();
    await port.pty.unplug();
    expect((await heard('closed unplugged #1')) - pulledUs).toBeLessThan(2_000_000);
    await port.plug();
    const pluggedUs = clock.nowUs();
    await heard('open connected #2');
    await port.send('3.75\nT=21.0\n');
    expect((await heard('frame T=21.0 #2')) - pluggedUs).toBeLessThan(3_000_000);
    expect(lines().slice(3)).toEqual([
      'frame T=20.5 #1',
      ...cut,
      'closed unplugged #1',
      'open connected #2',
      'discard first-partial 4 3.75 #2',
      'frame T=21.0 #2',
    ]);
  });

  it('S2: never delivers what was written while it was away', async () => {
    await heard('open connected #1');
    await port.pty.unplug();
    link.write(bytes('ZERO\n'), 1);
    await heard('closed unplugged #1');
    link.write(bytes('TARE\n'), 2);
    await heard('write 2 failed');
    await heard('write 1 failed');
    await port.plug();
    await heard('open connected #2');
    link.write(bytes('READ\n'), 3);
    await heard('write 3 ok');
    await vi.waitFor(() => expect(port.received()).toBe('READ\n'), PATIENT);
  });

  it('leaves no file open when it is stopped: connected, while opening, and while the port is away', async () => {
    await heard('open connected #1');
    await link.stop();
    const before = openFiles();
    const again = (): Supervised =>
      supervise({
        door: serialDoor({ path: port.path, baud: 115_200, clock }),
        instrument: 'probe',
        framing: { kind: 'lines', capBytes: 128 },
        clock,
        intervalUs: 500_000,
        onEvent: (event) => events.push({ atUs: clock.nowUs(), event }),
      });
    for (let round = 0; round < 10; round++) {
      const opening = again();
      await opening.stop();
    }
    events.length = 0;
    const connected = again();
    await heard('open connected #1');
    await connected.stop();
    await vi.waitFor(() => expect(openFiles()).toBe(before), PATIENT);
    await port.pty.unplug();
    events.length = 0;
    const away = again();
    await heard('closed not-found #0');
    await away.stop();
    await port.plug();
    expect(lines()).toEqual(['opening starting #0', 'closed not-found #0', 'closed stopped #0']);
  });
});
