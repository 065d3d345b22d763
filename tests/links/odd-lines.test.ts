/** What a link meets besides faults of the cable: other programs, boards that start anew, slow adapters. */
import { beforeEach, describe, expect, it } from 'vitest';
import { drivers } from '../../drivers/index.ts';
import { play } from '../../src/kit/conformance/rig.ts';
import type { AnyDriver } from '../../src/kit/driver.ts';
import { askingDoor } from '../../src/links/identify.ts';
import { stageFor } from '../../src/links/make.ts';
import { bytes, listener } from './listener.ts';
import { clock, lines, MS, reset, S, start, twin } from './supervised-twin.ts';
import { runFor, settle } from './virtual-time.ts';

beforeEach(reset);

describe('S6: another program that writes into our port', () => {
  const driver = drivers.pattern as AnyDriver;
  const options: unknown = driver.options.parse({ pattern: 'T={temp} C' });
  const tools = { stage: stageFor, clone: structuredClone, cpuUs: () => 0 };
  const read = (text: string) => play({ driver, options, tools }, [[bytes(text)]]);

  it.each(['AT\r', 'AT+GCAP\r\n', '\r\n', '\x7e\x00\x78\xf0\x7e', 'ATQ0 V1 E1\r'])(
    'gives no value that was not sent, wherever %j comes in, and each spoilt line is counted',
    (foreign) => {
      const sent = Array.from({ length: 6 }, (_, i) => `T=${20 + i}.2${i} C`);
      const whole = `boot\r\n${sent.join('\r\n')}\r\n`;
      const truth = sent.map((line) => Number(line.slice(2, 7)));
      for (let at = 6; at <= whole.length; at++) {
        const { samples, discarded } = read(whole.slice(0, at) + foreign + whole.slice(at));
        const values = samples.map((one) => one.temp as number);
        expect([at, values.filter((value) => !truth.includes(value))]).toEqual([at, []]);
        expect(values.length).toBeGreaterThanOrEqual(truth.length - 1);
        const spoilt = Object.entries(discarded).reduce((sum, [why, n]) => sum + (why === 'first-partial' ? 0 : n), 0);
        if (values.length < truth.length) expect([at, spoilt > 0]).toEqual([at, true]);
      }
    },
  );
});

it('S8: a board that starts anew at each opening gives nothing but whole lines: silence, boot text, half a line', async () => {
  const link = start({
    onEvent(event) {
      if (event.kind !== 'link' || event.state !== 'open') return;
      const mine = event.connection;
      const say = (us: number, text: string): void => {
        clock.at(clock.nowUs() + us, () => {
          if (
            lines()
              .findLast((line) => line.startsWith('open'))
              ?.endsWith(`#${mine}`)
          )
            twin.send(text);
        });
      };
      say(2 * S, '\x00\xffets 8\r\nrst:0x1\r\n');
      say(2.1 * S, '0.5\r\n');
      for (let i = 0; i < 4; i++) say(2.5 * S + i * 500 * MS, `T=20.${i}\r\n`);
    },
  });
  await runFor(clock, 3.1 * S);
  twin.unplug();
  twin.plug();
  await runFor(clock, 3.5 * S);
  await link.stop();
  const first = ['discard first-partial 7 \x00\xffets 8', 'frame rst:0x1', 'frame 0.5', 'frame T=20.0', 'frame T=20.1'];
  expect(lines()).toEqual([
    'opening starting #0',
    'open connected #1',
    ...first.map((line) => `${line} #1`),
    'closed unplugged #1',
    'open connected #2',
    ...first.map((line) => `${line} #2`),
    'closed stopped #2',
  ]);
});

describe.each([16, 40])('S16: an adapter that lets bytes go every %d ms only', (everyMs) => {
  /** Sends the text in the pieces that an adapter with such a timer makes of it at 9600 baud. */
  const release = async (text: string): Promise<void> => {
    const most = Math.floor((everyMs * 960) / 1000);
    for (let at = 0; at < text.length; at += most) {
      await runFor(clock, everyMs * MS);
      twin.send(text.slice(at, at + most));
    }
  };

  it('breaks no line, and is never taken for mute', async () => {
    const link = start({ intervalUs: 100 * MS });
    await settle();
    twin.send('\n');
    const said = Array.from({ length: 300 }, (_, i) => `S1;${i}.25;a rather long line;ok`);
    await release(`${said.join('\r\n')}\r\n`);
    expect(lines().slice(2)).toEqual(said.map((line) => `frame ${line} #1`));
    await link.stop();
  });

  it('is known by an answer that comes in pieces', async () => {
    const door = askingDoor(twin.door, { send: 'ID?\n', expect: 'x'.repeat(50), withinUs: 500 * MS }, clock);
    const opening = door.open(listener());
    await settle();
    await release(`${'x'.repeat(50)}\r\n`);
    await (await opening).close();
  });
});
