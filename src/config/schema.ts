/**
 * The bench file, key by key: what each means, which form it takes, what holds without it. The checks, the messages and
 * the reference in docs/bench-file.md all come from here.
 */
import { z } from 'zod';
import { escapedBytes } from '../kit/line-options.ts';
import { ALARM_SECTIONS } from './alarm-schema.ts';
import { BLE_SECTIONS, bleSchema } from './ble-schema.ts';
import { channelSchema, echoSchema, scaleSchema } from './channel-schema.ts';
import { CONTROL, key, quantity, text, understood, whole, word } from './fields.ts';
import { FLUID_SECTIONS, fluidSchema } from './fluid-schema.ts';
import { LAW_SECTIONS, lawSchema } from './law-schema.ts';
import { MATCH_SECTIONS } from './match-schema.ts';
import { circuitSchema, MEASURE_SECTIONS, machineSchema, measureSchema } from './measure-schema.ts';
import { quote } from './mistake.ts';
import type { Understood } from './quantities.ts';
import { VESSEL_SECTIONS, vesselSchema } from './vessel-schema.ts';

const ID = /^[a-z][a-z0-9-]{0,39}$/;
export const ID_FORM = 'small letters, digits and hyphens, a letter first, at most 40';

/** A name of the bench's own for an instrument or a channel. `constructor` would be found in every JavaScript object. */
export function isId(text: string): boolean {
  return ID.test(text) && text !== 'constructor';
}

/** The proper name that is most like it. */
export function properId(text: string): string | null {
  const hyphened = text.toLowerCase().replace(/[^a-z0-9]+/g, '-');
  const id = hyphened.replace(/^[-0-9]+|-+$/g, '').slice(0, 40);
  return isId(id) ? id : null;
}

const path = text(1000);

const serialPath = understood(
  'the path of a port such as "/dev/serial/by-id/…" or "COM3"',
  (port): Understood<string> => {
    if (port.trim() !== '' && !CONTROL.test(port) && (/[\\/]/.test(port) || /^COM\d+$/i.test(port))) {
      return { ok: true, value: port };
    }
    const nearest = /^(?:tty|cu)[\w.-]+$/.test(port) ? `/dev/${port}` : null;
    return { ok: false, words: `${quote(port)} is no path of a port`, nearest };
  },
);

const tcpAddress = understood(
  'a host and a port such as "192.0.2.7:4001"',
  (address): Understood<{ host: string; port: number }> => {
    const parts = /^(?:tcp:\/\/)?(?:\[([\da-fA-F:.]+)\]|([\w.-]+)):(\d{1,5})$/.exec(address);
    const host = parts?.[1] ?? parts?.[2];
    const port = Number(parts?.[3]);
    if (host !== undefined && port >= 1 && port <= 65_535) return { ok: true, value: { host, port } };
    if (host !== undefined)
      return { ok: false, words: `${quote(address)} has a port outside 1 to 65535`, nearest: null };
    return { ok: false, words: `${quote(address)} is no host with a port`, nearest: null };
  },
);

const usbId = understood('four hexadecimal digits in quotes such as "0043"', (id): Understood<string> => {
  if (/^[\da-f]{4}$/i.test(id)) return { ok: true, value: id.toLowerCase() };
  const nearest = /^[\da-f]{1,3}$/i.test(id) ? `"${id.padStart(4, '0')}"` : null;
  return { ok: false, words: `${quote(id)} is no number of four hexadecimal digits`, nearest };
});

const lineBytes = (expected: string, most: number): z.ZodType<string> =>
  understood(expected, (text): Understood<string> => {
    const bytes = escapedBytes(text);
    if (bytes === null) return { ok: false, words: `a backslash stands alone in ${quote(text)}`, nearest: null };
    if (bytes.length === 0 || bytes.length > most)
      return { ok: false, words: `${quote(text)} does not fit here`, nearest: null };
    return { ok: true, value: String.fromCharCode(...bytes) };
  });

const usbSchema = z.strictObject({
  'serial-number': key(text(200).optional(), {
    meaning: 'The serial number of the device; the only one of the three that tells two of a kind apart.',
    form: 'a text as `stillwell ports` shows it, in quotes',
    example: '"A1"',
    otherwise: 'any',
  }),
  vendor: key(usbId.optional(), {
    meaning: 'The USB number of its maker.',
    form: 'four hexadecimal digits in quotes',
    example: '"1209"',
    otherwise: 'any',
  }),
  product: key(usbId.optional(), {
    meaning: 'The USB number of its kind.',
    form: 'four hexadecimal digits in quotes',
    example: '"0001"',
    otherwise: 'any',
  }),
});

const identifySchema = z.strictObject({
  send: key(lineBytes('a question such as "ID?\\n", with \\r, \\n, \\t, \\\\ and \\xNN for other bytes', 256), {
    meaning:
      'What is asked once the port is open, and again every second while no answer has come: a board that restarts when its port is opened is deaf at first.',
    form: 'a text with \\r, \\n, \\t, \\\\ and \\xNN for bytes that cannot be written otherwise',
    example: '"ID?\\n"',
  }),
  expect: key(lineBytes('the whole line that it answers, such as "probe-7"', 256), {
    meaning: 'The line that the right device answers. A port where another line or none comes is closed again.',
    form: 'a whole line without its end',
    example: 'probe-7',
  }),
  within: key(quantity('time', { from: '10 ms', to: '30 s' }), {
    meaning: 'How long the answer may take. A board that restarts when its port is opened needs a few seconds.',
    form: 'a time from 10 ms to 30 s',
    example: '500 ms',
  }),
});

export const linkSchema = z.strictObject({
  serial: key(serialPath.optional(), {
    meaning:
      'The serial port. A path under `/dev/serial/by-id` stays the same when other boards come and go; `stillwell ports` lists them.',
    form: 'the path of a port',
    example: '/dev/serial/by-id/usb-probe-0001',
    otherwise: 'needs one of the others',
  }),
  usb: key(usbSchema.optional(), {
    meaning: 'Finds the serial port by what the device tells of itself over USB, wherever it is plugged in.',
    form: 'some of the keys serial-number, vendor, product',
    example: '{ serial-number: "A1", vendor: "1209", product: "0001" }',
    otherwise: 'needs one of the others',
  }),
  any: key(z.literal(true).optional(), {
    meaning:
      'Looks through all serial ports for the one that gives the right answer to `identify`. Only for a bench where no other device takes harm from being asked.',
    form: 'true',
    example: 'true',
    otherwise: 'needs one of the others',
  }),
  baud: key(whole(50, 12_000_000, '9600 or 115200').optional(), {
    meaning: "The speed of the serial port, as set in the board's program.",
    form: 'a whole number such as 9600 or 115200',
    example: '115200',
    otherwise: 'required for a serial port',
  }),
  parity: key(word('none', 'even', 'odd').optional(), {
    meaning: 'The check bit of each byte on a serial port. Slaves of Modbus mostly come with even.',
    form: 'none, even or odd',
    example: 'even',
    otherwise: 'none',
  }),
  'stop-bits': key(whole(1, 2, '1').optional(), {
    meaning: 'How many bits end each byte on a serial port. Without parity, Modbus asks for 2.',
    form: '1 or 2',
    example: '1',
    otherwise: '1',
  }),
  identify: key(identifySchema.optional(), {
    meaning: 'Asks the device who it is each time its port is opened; cables may be swapped then.',
    form: 'the keys send, expect and within',
    example: '{ send: "ID?\\n", expect: probe-7, within: 500 ms }',
    otherwise: 'nothing is asked',
  }),
  tcp: key(tcpAddress.optional(), {
    meaning: 'A network address that passes the bytes on, in place of a serial port.',
    form: 'a host and a port',
    example: '"192.0.2.7:4001"',
    otherwise: 'needs one of the others',
  }),
  stdin: key(z.literal(true).optional(), {
    meaning: 'What another program pipes into `stillwell run`. One instrument may have it, and its end is final.',
    form: 'true',
    example: 'true',
    otherwise: 'needs one of the others',
  }),
  ble: key(bleSchema.optional(), {
    meaning: 'A Bluetooth LE device, over the Bluetooth service of Linux; `stillwell ports` lists those in range.',
    form: 'the keys of a Bluetooth device: how it is known, and what is taken from it',
    example: '{ address: "C0:FF:EE:00:00:01", notify: ["2a6e"] }',
    otherwise: 'needs one of the others',
  }),
});

/** The keys of an instrument that do not belong to its driver. */
export const instrumentSchema = z.strictObject({
  driver: key(z.string(), {
    meaning: 'Who understands its bytes. The keys of the driver stand beside this one; docs/drivers.md lists them.',
    form: 'the name of a driver',
    example: 'pattern',
  }),
  link: key(linkSchema, {
    meaning: 'Where its bytes come from.',
    form: 'the keys of a link: serial and baud, or usb, any, tcp, stdin, ble',
    example: '{ serial: /dev/serial/by-id/usb-probe-0001, baud: 115200 }',
  }),
  identity: key(text(80).optional(), {
    meaning: 'The name of the device itself, such as the number on its label: its calibrations are kept under it.',
    form: 'a name of at most 80 characters',
    example: 'probe 0017',
    otherwise: 'the USB serial number or the answer to `identify`, else the name of the instrument',
  }),
  every: key(quantity('time', { from: '1 ms', to: '1 h' }), {
    meaning: 'The expected time between two lines. After three of these without one, its channels are stale.',
    form: 'a time from 1 ms to 1 h',
    example: '500 ms',
  }),
});

const pageSchema = z.strictObject({
  port: key(whole(0, 65_535, '8720'), {
    meaning: 'The port on which this computer serves the page; 0 takes any free one.',
    form: 'a whole number from 0 to 65535',
    example: '8720',
  }),
});

/** The whole file. Instruments and channels are looked into one by one, since their keys depend on driver and unit. */
export const fileSchema = z.strictObject({
  bench: key(text(80), {
    meaning: 'The name of the bench, as it stands on the page.',
    form: 'a name of at most 80 characters',
    example: 'North bay',
  }),
  instruments: key(z.record(z.string(), z.unknown()), {
    meaning: 'The devices that send, each under a name of your own.',
    form: `names of instruments (${ID_FORM}) with their keys`,
    example: '{ probe: … }',
  }),
  channels: key(z.record(z.string(), z.unknown()), {
    meaning: 'What is measured, each under a name of your own.',
    form: `names of channels (${ID_FORM}) with their keys`,
    example: '{ temperature: … }',
  }),
  measure: key(measureSchema, {
    meaning: 'What is to be read, and when it counts.',
    form: 'the keys of a measurement',
    example: '{ level: level, … }',
  }),
  fluid: key(fluidSchema.optional(), {
    meaning: 'What is in the vessel: for laws that need its speed of sound or its density.',
    form: 'the keys of a fluid',
    example: '{ typical: transmission-oil }',
    otherwise: 'no law may ask for it',
  }),
  vessel: key(vesselSchema.optional(), {
    meaning: 'Turns the level into litres.',
    form: 'the keys of a vessel',
    example: '{ shape: { … }, uncertainty: 1 % }',
    otherwise: 'no litres are shown',
  }),
  circuit: key(circuitSchema.optional(), {
    meaning: 'Fluid that is held outside the vessel: converter, cooler, passages.',
    form: 'the keys of a circuit',
    example: '{ states: { … }, temperature-uncertainty: 5 K }',
    otherwise: 'all fluid is in the vessel',
  }),
  machine: key(machineSchema.optional(), {
    meaning: 'The machine that the vessel belongs to.',
    form: 'the key states',
    example: '{ states: [idling in park] }',
    otherwise: 'its state is not stated',
  }),
  alarms: key(z.record(z.string(), z.unknown()).optional(), {
    meaning: 'What people are called for, each under a name of your own.',
    form: `names of alarms (${ID_FORM}) with their keys`,
    example: '{ overheated: … }',
    otherwise:
      'only those that every bench has: an instrument or a watched value lost, a calibration overdue, a zero that moved',
  }),
  journal: key(path.optional(), {
    meaning: 'The file of the record. A relative path begins at the folder of the bench file.',
    form: 'the path of a file',
    example: './north-bay.journal',
    otherwise: 'beside the bench file, with its name and `.journal`',
  }),
  procedures: key(z.array(path).optional(), {
    meaning:
      'Files of procedures that jobs of this bench go by, besides those that come with the software; docs/procedures.md tells their keys. A relative path begins at the folder of the bench file.',
    form: 'a list of paths of files',
    example: '[my-gearbox.yaml]',
    otherwise: 'those that come with the software',
  }),
  page: key(pageSchema.optional(), {
    meaning: 'Where the page is served.',
    form: 'the key port',
    example: '{ port: 8720 }',
    otherwise: 'port 8720',
  }),
});

/** Sections of the reference, in the order of the file. */
export const SECTIONS = [
  { title: 'The file', at: '', schema: fileSchema },
  { title: 'An instrument', at: 'instruments.<name>', schema: instrumentSchema },
  { title: 'Its link', at: 'instruments.<name>.link', schema: linkSchema },
  { title: 'A device found over USB', at: 'instruments.<name>.link.usb', schema: usbSchema },
  { title: 'A device that is asked who it is', at: 'instruments.<name>.link.identify', schema: identifySchema },
  ...BLE_SECTIONS,
  { title: 'A channel', at: 'channels.<name>', schema: channelSchema('temperature', 'value') },
  { title: 'The scale of a channel', at: 'channels.<name>.scale', schema: scaleSchema },
  { title: 'Its echo', at: 'channels.<name>.echo', schema: echoSchema },
  { title: 'Its law', at: 'channels.<name>.law', schema: lawSchema },
  ...LAW_SECTIONS,
  ...MEASURE_SECTIONS,
  ...MATCH_SECTIONS,
  ...FLUID_SECTIONS,
  ...VESSEL_SECTIONS,
  ...ALARM_SECTIONS,
  { title: 'The page', at: 'page', schema: pageSchema },
] as const;
