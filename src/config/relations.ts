/**
 * What must go together across the file: channels with the signals of their instruments, the measurement with its
 * channels, limits with each other. Each check holds its tongue while a part that it needs is not understood.
 */
import type { QuantityKind } from '../core/description.ts';
import { ofAlarm } from './alarm-schema.ts';
import { bleDevice, ofBle } from './ble-relations.ts';
import { ofSourceOf } from './channel-relations.ts';
import type { BenchDraft, Channel, Instrument } from './draft.ts';
import { ofFluidAndVessel, ofLaw } from './law-relations.ts';
import { ofMatch } from './match-schema.ts';
import { ofCircuit, ofCompensation } from './measure-relations.ts';
import { type Finding, finding, nearest, oneOf, quote } from './mistake.ts';
import type { Span } from './quantities.ts';
import type { Draft } from './understand.ts';

/** A compensation that reaches farther than this beyond the window is taken for a slip (°F written as °C, a digit too many). */
const FARTHEST_REFERENCE_K = 80;

/** Fewer values than this judge no level. */
const FEWEST_VALUES = 10;

export const DEFAULT_RANGE: Readonly<Record<QuantityKind, Span>> = {
  temperature: { low: -80, high: 400 },
  length: { low: 0, high: 20_000 },
  pressure: { low: 0, high: 1000 },
  voltage: { low: 0, high: 100 },
  humidity: { low: 0, high: 1 },
  volume: { low: 0, high: 1000 },
};

export function checkRelations(draft: BenchDraft): Finding[] {
  return [
    ...draft.instruments.flatMap(ofLink),
    ...sharedPorts(draft.instruments),
    ...draft.channels.flatMap((channel) => ofChannel(channel, draft)),
    ...ofMeasure(draft),
    ...ofCompensation(draft),
    ...ofCircuit(draft),
    ...ofFluidAndVessel(draft),
    ...draft.alarms.flatMap((alarm) => ofAlarm(alarm, draft.channels, draft.head.machine?.states, rangeOf)),
  ].map((one) => (one.nature === 'absent' ? one : { ...one, nature: 'across' }));
}

/** Ways to a device; a link takes one of them. */
const WAYS = ['serial', 'usb', 'any', 'tcp', 'stdin', 'ble'] as const;

/** What a key of a serial port sets. */
const SETS = { baud: 'speed to set', parity: 'parity', 'stop-bits': 'stop bits' } as const;

function ofLink({ id, link }: Draft<Instrument>): Finding[] {
  if (link === undefined) return [];
  const path = ['instruments', id ?? '', 'link'];
  // A key that is there but not understood was told already.
  const [way, ...others] = WAYS.filter((name) => name in link);
  if (way === undefined) {
    return [finding(path, 'the link leads nowhere', 'serial with baud, or usb, any, tcp, stdin, ble', { at: 'key' })];
  }
  if (others.length > 0) {
    const words = `a link is either ${way} or ${others.join(' or ')}`;
    return [finding([...path, others[0] as string], words, 'one of them', { at: 'key' })];
  }
  if (way === 'tcp' || way === 'stdin' || way === 'ble') {
    const serialOnly = (['baud', 'parity', 'stop-bits', 'identify'] as const)
      .filter((name) => name in link)
      .map((name) => {
        const words =
          name === 'identify' ? `a ${way} link is not asked who it is` : `a ${way} link has no ${SETS[name]}`;
        return finding([...path, name], words, `${name} at a serial port only`, { at: 'key' });
      });
    return link.ble === undefined ? serialOnly : [...serialOnly, ...ofBle(link.ble, [...path, 'ble'])];
  }
  const found: Finding[] = [];
  if (!('baud' in link)) {
    const expected = "the speed set in the board's program, such as 9600 or 115200";
    found.push(finding([...path, 'baud'], 'missing key "baud"', expected, { at: 'key', nature: 'absent' }));
  }
  if (way === 'any' && !('identify' in link)) {
    found.push(
      finding([...path, 'identify'], 'missing key "identify"', 'the answer by which the device is known', {
        at: 'key',
        nature: 'absent',
      }),
    );
  }
  if (link.usb !== undefined && Object.keys(link.usb).length === 0) {
    const expected = 'at least one of serial-number, vendor, product';
    found.push(finding([...path, 'usb'], 'nothing stands here', expected, { nature: 'empty' }));
  }
  return found;
}

/** The same way to a device twice; two names for one port show only when they are opened. */
function sharedPorts(instruments: readonly Draft<Instrument>[]): Finding[] {
  const users = new Map<string, string>();
  return instruments.flatMap(({ id = '', link }) => {
    const [key, port, words] = wayOf(link);
    if (key === null) return [];
    const user = users.get(port);
    users.set(port, user ?? id);
    if (user === undefined) return [];
    const path = ['instruments', id, 'link', key];
    return [finding(path, `${words} used by ${quote(user)} already`, 'a port of its own for each instrument')];
  });
}

/** The key that leads to the device, a text that is equal for equal ways, and words for it. */
function wayOf(link: Draft<Instrument>['link']): readonly [string, string, string] | readonly [null, '', ''] {
  if (link?.serial !== undefined) {
    return ['serial', link.serial.replace(/\/+/g, '/').replace(/^com(?=\d+$)/i, 'COM'), 'the port is'];
  }
  if (link?.ble !== undefined) {
    const device = bleDevice(link.ble);
    return device === null ? [null, '', ''] : ['ble', `ble ${device}`, 'the device is'];
  }
  if (link?.stdin !== undefined) return ['stdin', 'stdin', 'standard input is'];
  const answer = link?.identify?.expect;
  // devices found over USB may still be told apart by their answers
  if (link?.any !== undefined && answer !== undefined) return ['identify', `any ${answer}`, 'the answer is'];
  if (link?.usb !== undefined && Object.values(link.usb).every((part) => part !== undefined)) {
    const { 'serial-number': number, vendor, product } = link.usb;
    return ['usb', `usb ${JSON.stringify([number, vendor, product, answer])}`, 'the device is'];
  }
  return [null, '', ''];
}

function ofChannel(channel: Draft<Channel>, draft: BenchDraft): Finding[] {
  const { instruments } = draft;
  const { id = '', from, every } = channel;
  const path = ['channels', id];
  const found: Finding[] = ofSourceOf(channel);
  const [name = '', signal = ''] = from === undefined ? [] : splitReference(from);
  const instrument = instruments.find((one) => one.id === name);
  if (from !== undefined && instruments.length > 0) {
    const known = instruments.flatMap((one) => (one.signals ?? []).map((each) => `${one.id}.${each}`));
    if (instrument === undefined) {
      const names = instruments.map((one) => one.id ?? '');
      const meant = nearest(name, names);
      const whole =
        meant === null
          ? nearest(from, known)
          : `${meant}.${nearestSignal(
              signal,
              instruments.find((one) => one.id === meant),
            )}`;
      found.push(
        finding([...path, 'from'], `no instrument is called ${quote(name)}`, oneOf(names), { nearest: whole }),
      );
    } else if (instrument.signals !== undefined && !instrument.signals.includes(signal)) {
      const meant = nearest(signal, instrument.signals);
      const expected = instrument.signals.length === 0 ? 'a driver with signals' : oneOf(instrument.signals);
      found.push(
        finding([...path, 'from'], `the instrument ${quote(name)} has no signal ${quote(signal)}`, expected, {
          nearest: meant === null ? null : `${name}.${meant}`,
        }),
      );
    }
  }
  if (every !== undefined && instrument?.every !== undefined && every < instrument.every) {
    found.push(
      finding(
        [...path, 'every'],
        'values cannot come more often than lines',
        `a time not below the ${seconds(instrument.every)} of ${quote(name)}`,
      ),
    );
  }
  const { strength } = channel.echo ?? {};
  if (strength !== undefined && instrument?.signals !== undefined) {
    const known = instrument.signals.map((each) => `${name}.${each}`);
    if (!known.includes(strength))
      found.push(
        finding(
          [...path, 'echo', 'strength'],
          `${quote(strength)} is no number of the same instrument`,
          known.length === 0 ? 'a driver with signals' : oneOf(known),
          { nearest: nearest(strength, known) },
        ),
      );
  }
  const range = rangeOf(channel);
  found.push(...ofLaw(channel, range, draft));
  for (const step of ['resolution', 'uncertainty'] as const) {
    const size = channel[step];
    if (size !== undefined && range !== undefined && size >= range.high - range.low) {
      found.push(
        finding([...path, step], `the ${step} is as large as the range`, 'the range to be many times as wide'),
      );
    }
  }
  return found;
}

function ofMeasure({ head, channels, instruments }: BenchDraft): Finding[] {
  const measure = head.measure;
  if (measure === undefined) return [];
  const path = ['measure'];
  const found: Finding[] = [];
  const level = channelOf('level', 'length', measure.level, channels, found);
  const temperature = channelOf('temperature', 'temperature', measure.temperature, channels, found);

  found.push(...ofMatch(measure.match, level === undefined ? undefined : rangeOf(level)));

  const { low, high } = measure.window ?? {};
  if (low !== undefined && high !== undefined) {
    const { hysteresis, reference } = measure;
    if (hysteresis !== undefined && 2 * hysteresis >= high - low) {
      found.push(
        finding(
          [...path, 'hysteresis'],
          'the hysteresis fills the window',
          `less than half of the window, which is ${rounded(high - low)} K wide`,
        ),
      );
    }
    const away = typeof reference !== 'number' ? 0 : Math.max(low - reference, reference - high);
    if (away > FARTHEST_REFERENCE_K) {
      found.push(
        finding(
          [...path, 'reference'],
          `the reference lies ${rounded(away)} K outside the window`,
          `a temperature within ${FARTHEST_REFERENCE_K} K of the window`,
        ),
      );
    }
    const range = temperature === undefined ? undefined : rangeOf(temperature);
    if (range !== undefined && (low < range.low || high > range.high)) {
      found.push(
        finding(
          [...path, 'window'],
          'the window reaches beyond the range of the temperature channel',
          `temperatures from ${rounded(range.low)} °C to ${rounded(range.high)} °C`,
        ),
      );
    }
  }

  const { tolerance, longest } = measure.steady ?? {};
  const interval = level?.every ?? instruments.find((one) => one.id === splitReference(level?.from ?? '')[0])?.every;
  if (longest !== undefined && interval !== undefined && longest < FEWEST_VALUES * interval) {
    found.push(
      finding(
        [...path, 'steady', 'longest'],
        'that is too short to judge a level by',
        `at least ${seconds(FEWEST_VALUES * interval)}: a value comes every ${seconds(interval)}`,
      ),
    );
  }
  const seen = level === undefined ? undefined : rangeOf(level);
  if (tolerance !== undefined && seen !== undefined && tolerance >= (seen.high - seen.low) / 2) {
    found.push(
      finding(
        [...path, 'steady', 'tolerance'],
        'the tolerance is as large as the range of the level channel',
        `a small part of ${rounded(seen.high - seen.low)} mm`,
      ),
    );
  }
  if (tolerance !== undefined && level?.resolution !== undefined && tolerance < level.resolution) {
    found.push(
      finding(
        [...path, 'steady', 'tolerance'],
        'the tolerance is finer than one step of the level channel',
        `at least ${rounded(level.resolution)} mm`,
      ),
    );
  }
  return found;
}

/** The channel of this name, if it is one and of this quantity. */
function channelOf(
  role: 'level' | 'temperature',
  quantity: QuantityKind,
  name: string | undefined,
  channels: readonly Draft<Channel>[],
  found: Finding[],
): Draft<Channel> | undefined {
  if (name === undefined || channels.length === 0) return undefined;
  const fitting = channels.filter((one) => one.quantity === quantity).map((one) => one.id ?? '');
  const names = fitting.length > 0 ? fitting : channels.map((one) => one.id ?? '');
  const expected =
    fitting.length > 0 ? `a channel of ${quantity}, ${oneOf(names)}` : `a channel of ${quantity}, by its unit`;
  const channel = channels.find((one) => one.id === name);
  if (channel === undefined) {
    found.push(
      finding(['measure', role], `no channel is called ${quote(name)}`, expected, { nearest: nearest(name, names) }),
    );
  } else if (channel.quantity !== undefined && channel.quantity !== quantity) {
    const meant = fitting.length === 1 ? (fitting[0] as string) : nearest(name, fitting);
    found.push(
      finding(['measure', role], `${quote(name)} is a channel of ${channel.quantity}`, expected, { nearest: meant }),
    );
    return undefined;
  }
  return channel;
}

/** The range as written or by default; none where it was written and not understood. */
function rangeOf(channel: Draft<Channel>): Span | undefined {
  if ('range' in channel) return channel.range as Span | undefined;
  return channel.quantity === undefined ? undefined : DEFAULT_RANGE[channel.quantity];
}

/** "probe.temp" to its instrument and signal. */
export function splitReference(from: string): [instrument: string, signal: string] {
  const dot = from.indexOf('.');
  return [from.slice(0, dot), from.slice(dot + 1)];
}

function nearestSignal(signal: string, instrument: Draft<Instrument> | undefined): string {
  const signals = (instrument?.signals ?? []) as string[];
  return signals.includes(signal) ? signal : (nearest(signal, signals) ?? signal);
}

function seconds(us: number): string {
  return us < 1_000_000 ? `${rounded(us / 1000)} ms` : `${rounded(us / 1_000_000)} s`;
}

function rounded(value: number): string {
  return String(Number(value.toPrecision(6)));
}
