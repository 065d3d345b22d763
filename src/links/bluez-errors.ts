/** What D-Bus and BlueZ answer instead of a result, as reasons and words that say what to do. */
import { DBusError } from '@jellybrick/dbus-next';
import type { LinkReason } from '../core/events.ts';
import { LinkFault } from './contract.ts';
import { messageOf } from './door-parts.ts';

export const SERVICE_GONE = 'the Bluetooth service is not running: `sudo systemctl enable --now bluetooth`';
const PAIR = 'the device wants to be paired first: `bluetoothctl pair` with its address';
const GROUP = 'this user may not use Bluetooth: join the group bluetooth, log in again';

type Row = readonly [reason: LinkReason, todo: string];

/** org.bluez.Error.* as in the D-Bus API of BlueZ (org.bluez.Adapter, Device, GattCharacteristic). */
const BLUEZ: Readonly<Record<string, Row>> = {
  NotReady: ['radio-off', 'the adapter is not ready: `bluetoothctl power on`'],
  InProgress: ['busy', 'the same is still under way there'],
  NotPermitted: ['forbidden', ''],
  NotAuthorized: ['forbidden', PAIR],
  NotSupported: ['forbidden', ''],
  NotConnected: ['link-lost', ''],
  DoesNotExist: ['link-lost', 'it is gone'],
  NotAvailable: ['link-lost', ''],
  AuthenticationFailed: ['forbidden', PAIR],
  AuthenticationRejected: ['forbidden', PAIR],
  AuthenticationCanceled: ['forbidden', PAIR],
  AuthenticationTimeout: ['forbidden', PAIR],
  ConnectionAttemptFailed: ['not-in-range', ''],
};

/** org.freedesktop.DBus.Error.* as in the D-Bus specification. */
const DBUS: Readonly<Record<string, Row>> = {
  ServiceUnknown: ['no-bluetooth', SERVICE_GONE],
  NameHasNoOwner: ['no-bluetooth', SERVICE_GONE],
  Disconnected: ['no-bluetooth', 'the system bus is gone'],
  AccessDenied: ['forbidden', GROUP],
  UnknownObject: ['link-lost', 'it is gone'],
  UnknownMethod: ['link-lost', 'it is gone'],
  UnknownInterface: ['link-lost', 'it is gone'],
  NoReply: ['timed-out', ''],
  Timeout: ['timed-out', ''],
};

/** What BlueZ says in words only, for org.bluez.Error.Failed. */
const FAILED: readonly (readonly [RegExp, ...Row])[] = [
  [/not enough|insufficient|authenti|encrypt/i, 'forbidden', PAIR],
  [/host is down|page timeout|no route/i, 'not-in-range', ''],
  [/abort|reset|not connected|unknown-reason|disconnected|connection.*(?:fail|timed? ?out)/i, 'link-lost', ''],
];

/** @param what what was asked for, such as "Connect" */
export function faultOf(error: unknown, what: string): LinkFault {
  if (error instanceof LinkFault) return error;
  if (!(error instanceof DBusError)) return new LinkFault('io-error', `${what}: ${messageOf(error)}`);
  const [reason, todo] = rowOf(error.type, error.text);
  const said = error.text === '' ? error.type : `${error.type}: ${error.text}`;
  return new LinkFault(reason, `${what}: ${todo === '' ? said : `${todo} (${said})`}`);
}

/** Whether BlueZ answered with this of its own errors. */
export function isBluezError(error: unknown, name: string): boolean {
  return error instanceof DBusError && error.type === `org.bluez.Error.${name}`;
}

function rowOf(type: string, text: string): Row {
  const short = type.slice(type.lastIndexOf('.') + 1);
  if (type.startsWith('org.freedesktop.DBus.Error.')) return DBUS[short] ?? ['io-error', ''];
  if (short !== 'Failed') return BLUEZ[short] ?? ['io-error', ''];
  const [, reason, todo] = FAILED.find(([words]) => words.test(text)) ?? [null, 'io-error', ''];
  return [reason as LinkReason, todo as string];
}
