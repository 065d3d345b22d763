/**
 * A connection to the system bus, for BlueZ alone: calls and signals. The library throws out of the process where
 * there is no socket, and forgets waiting calls when the bus goes; both are seen to here.
 */
import { access, constants } from 'node:fs/promises';
import { Message, type MessageBus, sessionBus, Variant } from '@jellybrick/dbus-next';
import { faultOf, SERVICE_GONE } from './bluez-errors.ts';
import { LinkFault } from './contract.ts';
import { codeOf, messageOf } from './door-parts.ts';

const BLUEZ = 'org.bluez';
const BUS = 'org.freedesktop.DBus';
/** D-Bus specification, "Well-known Message Bus Instances". */
const SYSTEM_BUS = 'unix:path=/var/run/dbus/system_bus_socket';

export interface Signal {
  readonly path: string;
  readonly member: string;
  readonly body: readonly unknown[];
}

export interface BluezBus {
  /** Calls a method of BlueZ. Values in the answer are plain: no variants. */
  call(path: string, method: Method, signature?: string, body?: unknown[]): Promise<readonly unknown[]>;
  /** Closes the connection; waiting calls are rejected. May be called twice. */
  end(): void;
}

export interface Method {
  readonly of: string;
  readonly name: string;
}

export interface BusEvents {
  onSignal(signal: Signal): void;
  /** The bus or BlueZ is gone; at most once, and not after `end`. */
  onGone(fault: LinkFault): void;
}

/**
 * @param address as in DBUS_SYSTEM_BUS_ADDRESS; undefined for the usual place
 * @param signal gives up
 */
export async function openBluezBus(
  address: string | undefined,
  events: BusEvents,
  signal: AbortSignal,
): Promise<BluezBus> {
  const place = address ?? SYSTEM_BUS;
  await checkSocket(place);
  const bus = sessionBus({ busAddress: place });
  const waiting = new Set<(fault: LinkFault) => void>();
  let over: LinkFault | null = null;
  let owner: string | null = null;

  const finish = (fault: LinkFault, tell: boolean): void => {
    if (over !== null) return;
    over = fault;
    for (const reject of waiting) reject(fault);
    waiting.clear();
    hangUp(bus);
    if (tell) events.onGone(fault);
  };
  const gone = (detail: string): void => finish(new LinkFault('no-bluetooth', detail), true);

  const send = (message: Message): Promise<Message> =>
    new Promise((resolve, reject) => {
      if (over !== null) return reject(over);
      waiting.add(reject);
      bus
        .call(message)
        .finally(() => waiting.delete(reject))
        .then((reply) => (reply === null ? reject(new Error('no reply')) : resolve(reply)), reject);
    });
  const toBus = (member: string, body: unknown[]): Promise<Message> =>
    send(
      new Message({ destination: BUS, path: '/org/freedesktop/DBus', interface: BUS, member, signature: 's', body }),
    );

  const take = ({ sender, path, interface: of, member, body, type }: Message): void => {
    if (type !== SIGNAL || over !== null) return;
    if (sender === BUS && member === 'NameOwnerChanged' && body[0] === BLUEZ) {
      if (owner !== null && body[2] !== owner) gone(`${SERVICE_GONE} (it stopped, or was started anew)`);
    } else if (sender === owner && (of === OBJECTS || of === PROPERTIES)) {
      events.onSignal({ path, member, body: plain(body) as unknown[] });
    }
  };
  // an error thrown in here would end the process
  bus.on('message', (message) => {
    try {
      take(message);
    } catch (error) {
      gone(`a message of the bus is not understood: ${messageOf(error)}`);
    }
  });
  (bus as unknown as NodeJS.EventEmitter).on('error', (error: unknown) => gone(`the system bus: ${messageOf(error)}`));
  connectionOf(bus).on('end', () => gone('the system bus closed the connection'));

  const giveUp = (): void => finish(new LinkFault('stopped', 'given up while opening'), false);
  signal.addEventListener('abort', giveUp, { once: true });
  try {
    if (signal.aborted) giveUp();
    await toBus('AddMatch', [`type='signal',sender='${BLUEZ}'`]);
    await toBus('AddMatch', [`type='signal',sender='${BUS}',member='NameOwnerChanged',arg0='${BLUEZ}'`]);
    // starts BlueZ where the system starts it on demand
    const { sender } = await send(new Message({ destination: BLUEZ, path: '/', interface: PEER, member: 'Ping' }));
    owner = sender;
  } catch (error) {
    const fault = faultOf(error, 'the Bluetooth service');
    finish(fault, false);
    throw fault;
  } finally {
    signal.removeEventListener('abort', giveUp);
  }
  return {
    async call(path, { of, name }, signature = '', body = []) {
      const message = new Message({ destination: BLUEZ, path, interface: of, member: name, signature, body });
      return plain((await send(message)).body) as unknown[];
    },
    end: () => finish(new LinkFault('stopped', 'the connection to the bus is closed'), false),
  };
}

const SIGNAL = 4;
const PEER = 'org.freedesktop.DBus.Peer';
const OBJECTS = 'org.freedesktop.DBus.ObjectManager';
const PROPERTIES = 'org.freedesktop.DBus.Properties';

/** Whether the socket is there and may be opened: said before the library stumbles over it. */
async function checkSocket(address: string): Promise<void> {
  if (process.platform !== 'linux') {
    throw new LinkFault('no-bluetooth', `Bluetooth is built for Linux so far, this is ${process.platform}`);
  }
  const path = /^unix:(?:.*,)?path=([^,;]+)/.exec(address)?.[1];
  if (path === undefined) return;
  try {
    await access(path, constants.R_OK | constants.W_OK);
  } catch (error) {
    throw codeOf(error) === 'ENOENT' || codeOf(error) === 'ENOTDIR'
      ? new LinkFault(
          'no-bluetooth',
          `there is no system bus at ${path}: install dbus and bluez; give a container /run/dbus`,
        )
      : new LinkFault('forbidden', `the system bus at ${path} may not be opened by this user: ${messageOf(error)}`);
  }
}

interface InnerConnection extends NodeJS.EventEmitter {
  readonly stream?: { end(): void; destroy(): void; readonly connecting?: boolean };
}

/** The library does not tell when the bus closes the connection, but its connection does. */
function connectionOf(bus: MessageBus): InnerConnection {
  return (bus as unknown as { readonly _connection: InnerConnection })._connection;
}

function hangUp(bus: MessageBus): void {
  const connection = connectionOf(bus);
  const { stream } = connection;
  if (stream === undefined) connection.once('connect', () => bus.disconnect());
  else if (stream.connecting === true) stream.destroy();
  else bus.disconnect();
}

/** Variants as what they hold, all the way down. */
function plain(value: unknown): unknown {
  if (value instanceof Variant) return plain(value.value);
  if (value instanceof Uint8Array) return Uint8Array.from(value);
  if (Array.isArray(value)) return value.map(plain);
  if (typeof value !== 'object' || value === null) return value;
  return Object.fromEntries(Object.entries(value).map(([key, inner]) => [key, plain(inner)]));
}

/** Values for a dictionary of settings. */
export const text = (value: string): Variant => new Variant('s', value);
export const flag = (value: boolean): Variant => new Variant('b', value);
