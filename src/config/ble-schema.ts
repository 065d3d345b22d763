/** The keys of a Bluetooth LE link. */
import { z } from 'zod';
import { characteristicName, uuidName } from '../kit/uuid.ts';
import { key, text, understood } from './fields.ts';
import { quote } from './mistake.ts';
import type { Understood } from './quantities.ts';

const UUID_FORM = 'a UUID such as "181a" or "6f1c0001-3d52-4c1e-9a6e-0b7d5c2f8a11"';

const uuid = understood(UUID_FORM, (written): Understood<string> => {
  const name = uuidName(written);
  return name === null
    ? { ok: false, words: `${quote(written)} is no UUID`, nearest: null }
    : { ok: true, value: name };
});

const characteristic = understood(`${UUID_FORM}, with .2 for the second that has it`, (written): Understood<string> => {
  const value = characteristicName(written);
  return value === null ? { ok: false, words: `${quote(written)} is no UUID`, nearest: null } : { ok: true, value };
});

const address = understood('an address such as "C0:FF:EE:00:00:01"', (written): Understood<string> => {
  const value = written.trim().toUpperCase().replaceAll('-', ':');
  if (/^[0-9A-F]{2}(?::[0-9A-F]{2}){5}$/.test(value)) return { ok: true, value };
  return { ok: false, words: `${quote(written)} is no address`, nearest: null };
});

const company = understood('four hexadecimal digits in quotes such as "ffff"', (written): Understood<number> => {
  const [, digits] = /^(?:0x)?([0-9a-f]{4})$/i.exec(written.trim()) ?? [];
  if (digits !== undefined) return { ok: true, value: Number.parseInt(digits, 16) };
  return { ok: false, words: `${quote(written)} is no number of four hexadecimal digits`, nearest: null };
});

const begins = understood('bytes as hexadecimal digits in quotes such as "01 07"', (written): Understood<string> => {
  const digits = written.replace(/\s+/g, '').toLowerCase();
  if (/^(?:[0-9a-f]{2}){1,31}$/.test(digits)) return { ok: true, value: digits };
  return { ok: false, words: `${quote(written)} is not bytes in hexadecimal digits`, nearest: null };
});

const BEGINS = {
  meaning: 'The bytes that the data begin with, as far as they stay the same and belong to this device alone.',
  form: 'pairs of hexadecimal digits in quotes',
  example: '"01 07"',
  otherwise: 'any data will do',
} as const;

export const serviceDataSchema = z.strictObject({
  uuid: key(uuid, { meaning: 'The service that the data belong to.', form: 'a UUID', example: '"181a"' }),
  begins: key(begins.optional(), BEGINS),
});

export const manufacturerDataSchema = z.strictObject({
  company: key(company, {
    meaning: 'The number of the company, as `stillwell ports` shows it.',
    form: 'four hexadecimal digits in quotes',
    example: '"ffff"',
  }),
  begins: key(begins.optional(), BEGINS),
});

export const bleTextSchema = z.strictObject({
  from: key(characteristic, {
    meaning: 'The characteristic whose notifications carry the text, cut anywhere.',
    form: 'a UUID',
    example: '"8d5f0002-6b1c-4f6a-9a52-3d1c1e5b7a10"',
  }),
  to: key(characteristic.optional(), {
    meaning: 'The characteristic that takes what is written to the device.',
    form: 'a UUID',
    example: '"8d5f0003-6b1c-4f6a-9a52-3d1c1e5b7a10"',
    otherwise: 'nothing can be asked',
  }),
});

export const bleSchema = z.strictObject({
  address: key(address.optional(), {
    meaning: 'The address of the device. Some devices change it every so often; know those by what they advertise.',
    form: 'six pairs of hexadecimal digits in quotes',
    example: '"C0:FF:EE:00:00:01"',
    otherwise: 'needs service-data, or service and manufacturer-data',
  }),
  service: key(uuid.optional(), {
    meaning: 'A service that the device must advertise.',
    form: 'a UUID',
    example: '"181a"',
    otherwise: 'any',
  }),
  'service-data': key(serviceDataSchema.optional(), {
    meaning: 'Service data that the device must advertise. With an address: data that another device would not have.',
    form: 'the keys uuid and begins',
    example: '{ uuid: "181a", begins: "01 07" }',
    otherwise: 'any',
  }),
  'manufacturer-data': key(manufacturerDataSchema.optional(), {
    meaning: 'Manufacturer data that the device must advertise.',
    form: 'the keys company and begins',
    example: '{ company: "ffff", begins: "01 07" }',
    otherwise: 'any',
  }),
  adapter: key(text(40).optional(), {
    meaning: 'The Bluetooth adapter, where there are several.',
    form: 'a name such as hci0',
    example: 'hci0',
    otherwise: 'the first that is on',
  }),
  notify: key(z.array(characteristic).max(32).optional(), {
    meaning: 'The characteristics that send their values by themselves. Each value is a frame: its UUID and its bytes.',
    form: 'a list of UUIDs',
    example: '["2a6e", "2a6f"]',
    otherwise: 'none',
  }),
  read: key(z.array(characteristic).max(32).optional(), {
    meaning: 'The characteristics that are read, each once every `every`.',
    form: 'a list of UUIDs',
    example: '["2a19"]',
    otherwise: 'none',
  }),
  text: key(bleTextSchema.optional(), {
    meaning: 'In place of notify and read: the device speaks lines of text, as over a serial port.',
    form: 'the keys from and to',
    example: '{ from: "8d5f0002-6b1c-4f6a-9a52-3d1c1e5b7a10", to: "8d5f0003-6b1c-4f6a-9a52-3d1c1e5b7a10" }',
    otherwise: 'values',
  }),
  advertised: key(z.literal(true).optional(), {
    meaning: 'In place of notify and read: what the device advertises is taken, and it is never connected to.',
    form: 'true',
    example: 'true',
    otherwise: 'it is connected to',
  }),
});

export type BleKeys = z.output<typeof bleSchema>;

export const BLE_SECTIONS = [
  { title: 'A Bluetooth LE device', at: 'instruments.<name>.link.ble', schema: bleSchema },
  { title: 'Its service data', at: 'instruments.<name>.link.ble.service-data', schema: serviceDataSchema },
  {
    title: 'Its manufacturer data',
    at: 'instruments.<name>.link.ble.manufacturer-data',
    schema: manufacturerDataSchema,
  },
  { title: 'Text over Bluetooth', at: 'instruments.<name>.link.ble.text', schema: bleTextSchema },
] as const;
