/** What the bench says by code and figures, said again by the page. */
import { afterEach, describe, expect, it } from 'vitest';
import { eventWords } from '../../src/page/news.ts';
import { gateShort, gateWords, linkWords, verdictWords } from '../../src/page/saying.ts';
import { reduce, START, type View } from '../../src/page/state.ts';
import { like, METRIC } from '../../src/page/units.ts';
import { speak } from '../../src/page/words.ts';
import { LEVEL, readingEvent, ready, snapshot, stale, TEMPERATURE, verdict, waiting } from './scenes.ts';

const T0 = Date.parse('2031-05-06T08:00:00.000Z');
afterEach(() => {
  speak('en');
  like(METRIC);
});

function seen(live: ReturnType<typeof waiting>): View {
  return reduce(START, { kind: 'heard', message: snapshot(live), atMs: 0 });
}

function gateOf(view: View, id: string) {
  const found = view.live?.gates.find((gate) => gate.id === id);
  if (found === undefined) throw new Error(`no gate ${id}`);
  return found;
}

const plain = (text: string) => text.replaceAll('\u00a0', ' ');

describe('A gate', () => {
  it('is told in the language of the screen, in a sentence and from afar', () => {
    const view = seen(waiting(T0));
    const window = gateOf(view, 'window');
    expect([gateShort(window), plain(gateWords(window, view))]).toEqual([
      'too cold',
      '41.6 °C: too cold for the window of 45.0 °C to 55.0 °C.',
    ]);
    speak('de');
    expect([gateShort(window), plain(gateWords(window, view))]).toEqual([
      'zu kalt',
      '41,6 °C: zu kalt für das Temperaturfenster von 45,0 °C bis 55,0 °C.',
    ]);
  });

  it('is told in the units of the screen', () => {
    like({ temperature: 'F', length: 'in', volume: 'L' });
    const view = seen(waiting(T0));
    expect(plain(gateWords(gateOf(view, 'window'), view))).toContain('106.9 °F');
    expect(plain(gateWords(gateOf(view, 'settled'), view))).toBe(
      'The level still rises: up to 0.0244 in to go, 0.0197 in allowed.',
    );
  });

  it('names the channel that is old', () => {
    const view = seen(stale(T0));
    expect(plain(gateWords(gateOf(view, 'fresh'), view))).toBe(`No new ${TEMPERATURE} value for 7.4 s.`);
  });

  it('of a newer bench is told in its own words', () => {
    const view = seen(waiting(T0));
    const unknown = { ...gateOf(view, 'window'), why: 'moon', words: 'The moon is wrong.' };
    expect(gateWords(unknown, view)).toBe('The moon is wrong.');
    expect(gateShort(unknown)).toBe('Temperature window');
  });

  it('of a value that never came is named too', () => {
    const scene = ready(T0);
    delete scene.channels[LEVEL];
    const view = seen(scene);
    const gate = { ...gateOf(view, 'fresh'), why: 'no-value-yet', value: null };
    expect(gateWords(gate, view)).toBe(`No ${LEVEL} value yet.`);
  });
});

describe('A verdict', () => {
  it('that cannot be settled says what would help', () => {
    expect(plain(verdictWords(verdict()))).toBe(
      'As near as this bench can tell: 0.8 mm below the target, sure to ±0.5 mm; ±1 mm is allowed. ' +
        'To tell more: leave the sensor fitted.',
    );
    speak('de');
    const judged = verdict().judged;
    if (judged === null) throw new Error('a scene without figures');
    const improve = 'leave the sensor fitted, or … (most of the doubt: refitting the sensor)';
    expect(plain(verdictWords(verdict({ judged: { ...judged, improve } })))).toBe(
      'Genauer kann dieser Messplatz es nicht sagen: 0,8 mm unter dem Zielwert, auf ±0,5 mm sicher; ±1 mm sind erlaubt. ' +
        'Um mehr zu sagen: den Sensor eingebaut lassen oder ihm einen Anschlag geben (größter Zweifel: Neueinbau des Sensors).',
    );
  });

  it('that is settled says how sure it is, rounded down', () => {
    const judged = verdict().judged;
    if (judged === null) throw new Error('a scene without figures');
    const within = verdict({
      result: 'within',
      judged: { ...judged, differenceMm: 0.004, probability: { below: 0.01, within: 0.9899, above: 0 } },
    });
    expect(plain(verdictWords(within))).toBe('at the target, sure to ±0.5 mm; ±1 mm is allowed. 98.9 % sure.');
    speak('de');
    expect(plain(verdictWords(within))).toContain('Zu 98,9 % sicher.');
  });

  it('of readings that may not be compared says why', () => {
    const apart = verdict({ result: 'not-comparable', why: 'calibration', judged: null, words: 'Not compared.' });
    expect(verdictWords(apart)).toMatch(/calibrated in between/);
    speak('de');
    expect(verdictWords(apart)).toMatch(/kalibriert/);
  });
});

describe('An instrument and the record', () => {
  it('say why a link is down in either language', () => {
    const health = stale(T0).instruments['dip probe'];
    if (health === undefined) throw new Error('a scene without a probe');
    expect(linkWords(health)).toBe('Unplugged. Plug it in again; it is picked up by itself.');
    speak('de');
    expect(linkWords(health)).toMatch(/^Ausgesteckt/);
    expect(linkWords({ ...health, floods: true })).toMatch(/^Sendet mehr/);
  });

  it('tell an event in a line', () => {
    expect(plain(eventWords(readingEvent(41, T0).outcome))).toBe('Reading 17: 62.3 mm ±0.4 mm');
    speak('de');
    expect(plain(eventWords(readingEvent(41, T0).outcome))).toBe('Ablesung 17: 62,3 mm ±0,4 mm');
  });
});
