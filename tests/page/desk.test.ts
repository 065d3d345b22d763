import { describe, expect, it } from 'vitest';
import type { World } from '../../src/page/connection.ts';
import { Desk } from '../../src/page/desk.ts';
import { history, readingEvent, readyEvent, snapshot, TEMPERATURE, waiting } from './scenes.ts';

const T0 = Date.parse('2031-05-06T08:00:00.000Z');

/** A browser of which a test holds all the strings. */
function set() {
  let hears: Parameters<World['open']>[1] | null = null;
  const sent: string[] = [];
  const asked: { path: string; give(found: unknown): void }[] = [];
  let ids = 0;
  const desk = new Desk({
    open: (_query, ears) => {
      hears = ears;
      return {
        send: (text) => {
          sent.push(text);
          return true;
        },
        close: () => {},
      };
    },
    after: () => () => {},
    nowMs: () => 0,
    newId: () => `action-${++ids}`,
    fetchJson: (path) => new Promise((give) => asked.push({ path, give })),
  });
  const hear = (message: unknown) => hears?.text(JSON.stringify(message));
  const hello = (journal: string) =>
    hear({ type: 'hello', protocol: 1, software: '0', bench: 'b', journal, lastEvent: 40 });
  return { desk, hear, hello, asked, sent, lose: () => hears?.closed() };
}

describe('The desk', () => {
  it('asks for the history of both channels at each snapshot and draws it', async () => {
    const { desk, hear, hello, asked } = set();
    hello('first');
    hear(snapshot(waiting(T0)));
    expect(asked.map((a) => a.path)).toEqual([
      '/api/history?channel=tank-temperature&seconds=600&most=600',
      '/api/history?channel=tank-level&seconds=600&most=600',
      '/api/events?since=0&limit=200',
    ]);
    const seeded = new Promise<void>((resolve) => desk.traces.subscribe(resolve));
    asked[0]?.give(history(TEMPERATURE, 600, T0, 41.6));
    await seeded;
    expect(desk.traces.temperature.size).toBeGreaterThan(300);
  });

  it('draws nothing of a journal that is not the one any more', async () => {
    const { desk, hear, hello, asked } = set();
    hello('first');
    hear(snapshot(waiting(T0)));
    hello('second');
    expect(desk.traces.temperature.size).toBe(0);
    hear(snapshot(waiting(T0)));
    asked[0]?.give(history(TEMPERATURE, 600, T0, 41.6));
    const seeded = new Promise<void>((resolve) => desk.traces.subscribe(resolve));
    asked[4]?.give(history('tank-level', 600, T0, 41.6));
    await seeded;
    expect(desk.traces.temperature.size).toBe(1);
    expect(desk.traces.level.size).toBeGreaterThan(300);
  });

  it('recalls readings and ready spells from before it came, once, and only of this journal', async () => {
    const { desk, hear, hello, asked } = set();
    hello('first');
    hear(snapshot(waiting(T0)));
    const events = [readyEvent(3, T0 - 9000, true), readingEvent(4, T0 - 8000), readyEvent(5, T0 - 5000, false)];
    const recalled = new Promise<void>((resolve) => desk.subscribe(resolve));
    asked[2]?.give({ journal: 'first', lastEvent: 41, events: [...events, readingEvent(41, T0)] });
    await recalled;
    expect(desk.view.spells).toEqual([{ fromMs: T0 - 9000, toMs: T0 - 5000 }]);
    expect(desk.view.marks.map((m) => m.event)).toEqual([4]);
    hear(snapshot(waiting(T0)));
    expect(asked.filter((a) => a.path.includes('events'))).toHaveLength(1);
  });

  it('sends nothing while it has no line, and does not pretend to have asked', () => {
    const { desk, hello, hear, lose, sent } = set();
    hello('first');
    hear(snapshot(waiting(T0)));
    lose();
    expect(desk.act('Ines', { type: 'take-reading' })).toBe(false);
    expect(desk.view.asking).toBeNull();
    expect(sent).toEqual([]);
  });
});
