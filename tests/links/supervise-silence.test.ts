import { beforeEach, describe, expect, it } from 'vitest';
import { supervise } from '../../src/links/supervise.ts';
import { told } from './listener.ts';
import { clock, events, lines, linkDetails, MS, reset, S, start, talk, timed, twin } from './supervised-twin.ts';
import { runFor, settle } from './virtual-time.ts';

beforeEach(reset);

describe('a silent link', () => {
  it('S1, S13: is closed as mute after 5 s and opened anew', async () => {
    const link = start();
    await runFor(clock, 5_600 * MS);
    expect(timed()).toEqual([
      '0 ms opening starting #0',
      '0 ms open connected #1',
      '5000 ms closed mute #1',
      '5250 ms open connected #2',
    ]);
    expect(linkDetails()[2]).toBe('no byte for 5.0 s');
    await link.stop();
  });

  it('is unplugged, not mute, when it is pulled the next time', async () => {
    const link = start();
    await runFor(clock, 6 * S);
    twin.unplug();
    expect(lines().slice(2)).toEqual(['closed mute #1', 'open connected #2', 'closed unplugged #2']);
    await link.stop();
  });

  it('is given three intervals where these are longer', async () => {
    const link = start({ intervalUs: 40 * S });
    await runFor(clock, 119_999 * MS);
    expect(lines()).toHaveLength(2);
    await runFor(clock, 1 * MS);
    expect(timed().at(-1)).toBe('120000 ms closed mute #1');
    await link.stop();
  });

  it('is opened less and less often, at most once a minute', async () => {
    const link = start();
    await runFor(clock, 300 * S);
    const mutes = events.filter(({ event }) => told(event).startsWith('closed mute')).map(({ atUs }) => atUs / MS);
    const gaps = mutes.map((at, i) => at - (mutes[i - 1] ?? 0));
    expect(gaps).toEqual([5_000, 10_250, 20_500, 41_000, 62_000, 62_000, 62_000]);
    await link.stop();
  });

  it('counts from the last frame, and a talking link is left alone', async () => {
    const link = start();
    await settle();
    twin.send('\n');
    await talk(60 * S);
    expect(lines().filter((line) => !line.startsWith('frame'))).toEqual(['opening starting #0', 'open connected #1']);
    await runFor(clock, 5 * S);
    expect(timed().at(-1)).toBe('65000 ms closed mute #1');
    expect(linkDetails().at(-1)).toBe('no byte for 5.0 s');
    await link.stop();
  });

  it('is one that says nothing whole, however much it sends', async () => {
    const link = start();
    await settle();
    for (let i = 0; i < 50; i++) {
      twin.send('~~~~');
      await runFor(clock, 100 * MS);
    }
    expect(lines().slice(2)).toEqual([`discard too-long 200 ${'~'.repeat(64)} #1`, 'closed mute #1']);
    expect(linkDetails()[2]).toBe('200 bytes, but nothing whole, for 5.0 s');
    await link.stop();
  });

  it('S8: gives a board that restarts at each opening and boots slowly its time in the end', async () => {
    // boot chatter at once, data 17 s after each opening: shorter patience would restart it for ever
    const link = start({
      onEvent(event) {
        if (event.kind !== 'link' || event.state !== 'open') return;
        const mine = event.connection;
        const from = (us: number, text: string): void => {
          clock.at(clock.nowUs() + us, () => {
            if (twin.open === 1 && openNow() === mine) twin.send(text);
          });
        };
        from(100 * MS, '\r\nboot: ok\r\n');
        for (let i = 0; i < 200; i++) from(17 * S + i * 500 * MS, 'T=20.5\r\n');
      },
    });
    const openNow = (): number =>
      events.flatMap(({ event }) => (event.kind === 'link' ? [event.connection] : [])).at(-1) ?? 0;
    await runFor(clock, 90 * S);
    expect(lines().filter((line) => /^(open|closed)/.test(line))).toEqual([
      'opening starting #0',
      'open connected #1',
      'closed mute #1',
      'open connected #2',
      'closed mute #2',
      'open connected #3',
    ]);
    expect(lines().filter((line) => line === 'frame T=20.5 #3').length).toBeGreaterThan(50);
    await link.stop();
  });

  it('has its first patience back once it has talked for long', async () => {
    const link = start();
    await runFor(clock, 5 * S);
    await runFor(clock, 250 * MS);
    twin.send('\n');
    await talk(20 * S);
    const lastUs = clock.nowUs();
    await runFor(clock, 6 * S);
    const mute = events.findLast(({ event }) => told(event).startsWith('closed mute'));
    expect(mute?.atUs).toBe(lastUs + 5 * S);
    await link.stop();
  });

  it('is not taken for silent because the process itself was held up', async () => {
    // the timer comes 20 s late, and the bytes that waited meanwhile come after it
    const held = { extraUs: 0 };
    const late = { ...clock, nowUs: () => clock.nowUs() + held.extraUs };
    const link = supervise({
      door: twin.door,
      instrument: 'probe',
      framing: { kind: 'lines', capBytes: 64 },
      clock: late,
      intervalUs: 500 * MS,
      onEvent: (event) => events.push({ atUs: late.nowUs(), event }),
    });
    await settle();
    twin.send('\nT=20.5\n');
    await runFor(clock, 4 * S);
    held.extraUs = 20 * S;
    await runFor(clock, 1 * S);
    twin.send('T=20.6\n');
    await runFor(clock, 3 * S);
    expect(lines().at(-1)).toBe('frame T=20.6 #1');
    await link.stop();
  });
});
