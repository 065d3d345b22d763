/** Objects on a bus with properties that others can read and watch, as the D-Bus specification describes them. */
import { Message, type MessageBus, sessionBus, Variant } from '@jellybrick/dbus-next';

/** Signature and value by name. */
export type Properties = Record<string, [signature: string, value: unknown]>;
export type Interfaces = Record<string, Properties>;

export interface Call {
  readonly path: string;
  readonly of: string;
  readonly name: string;
  readonly body: readonly unknown[];
  /** The unique name of whoever calls. */
  readonly sender: string;
}

/** Signature and values of the answer. A promise that never settles is a call that is never answered. */
export type Answer = Promise<readonly [signature: string, values: unknown[]] | undefined>;

export class CallError extends Error {
  readonly code: string;
  constructor(code: string, text: string) {
    super(text);
    this.code = code;
  }
}

const DBUS = 'org.freedesktop.DBus';

export class DbusObjects {
  readonly #objects = new Map<string, Interfaces>();
  readonly #bus: MessageBus;
  #closed = false;

  private constructor(bus: MessageBus) {
    this.#bus = bus;
  }

  /** Takes the name on the bus. `onLeft` tells of every other connection that has gone. */
  static async serve(
    address: string,
    name: string,
    answer: (call: Call) => Answer,
    onLeft: (sender: string) => void,
  ): Promise<DbusObjects> {
    const bus = sessionBus({ busAddress: address });
    const objects = new DbusObjects(bus);
    (bus as unknown as NodeJS.EventEmitter).on('error', () => objects.close());
    bus.on('message', ({ sender, member, body }) => {
      if (sender !== DBUS || member !== 'NameOwnerChanged') return;
      const [gone, , owner] = body as [string, string, string];
      if (owner === '') onLeft(gone);
    });
    bus.addMethodHandler((message) => {
      objects.#answer(message, answer);
      return true;
    });
    const rule = `type='signal',sender='${DBUS}',member='NameOwnerChanged'`;
    await bus.call(
      new Message({
        destination: DBUS,
        path: '/org/freedesktop/DBus',
        interface: DBUS,
        member: 'AddMatch',
        signature: 's',
        body: [rule],
      }),
    );
    await bus.requestName(name);
    return objects;
  }

  get paths(): readonly string[] {
    return [...this.#objects.keys()];
  }

  value(path: string, of: string, name: string): unknown {
    return this.#objects.get(path)?.[of]?.[name]?.[1];
  }

  has(path: string): boolean {
    return this.#objects.has(path);
  }

  add(path: string, interfaces: Interfaces): void {
    if (this.#objects.has(path)) return;
    this.#objects.set(path, interfaces);
    this.#signal('/', `${DBUS}.ObjectManager`, 'InterfacesAdded', 'oa{sa{sv}}', [path, onWire(interfaces)]);
  }

  /** The object and all below it, those below first. */
  remove(path: string): void {
    const below = this.paths.filter((one) => one === path || one.startsWith(`${path}/`));
    for (const one of below.sort().reverse()) {
      const names = Object.keys(this.#objects.get(one) ?? {});
      this.#objects.delete(one);
      this.#signal('/', `${DBUS}.ObjectManager`, 'InterfacesRemoved', 'oas', [one, names]);
    }
  }

  /** Changes properties and tells everybody, also of those that stay as they were. */
  set(path: string, of: string, values: Readonly<Record<string, unknown>>): void {
    const known = this.#objects.get(path)?.[of];
    if (known === undefined) return;
    const changed: Record<string, Variant> = {};
    for (const [name, value] of Object.entries(values)) {
      const property = known[name];
      if (property === undefined) throw new Error(`${of} has no property ${name}`);
      property[1] = value;
      changed[name] = new Variant(property[0], value);
    }
    this.#signal(path, `${DBUS}.Properties`, 'PropertiesChanged', 'sa{sv}as', [of, changed, []]);
  }

  /** Leaves the bus, as a service that stops or crashes. */
  close(): void {
    if (this.#closed) return;
    this.#closed = true;
    this.#bus.disconnect();
  }

  #signal(path: string, of: string, name: string, signature: string, body: unknown[]): void {
    if (!this.#closed) this.#bus.send(Message.newSignal(path, of, name, signature, body));
  }

  #answer(message: Message, answer: (call: Call) => Answer): void {
    const send = (reply: Message): void => {
      if (!this.#closed) this.#bus.send(reply);
    };
    this.#result(message, answer).then(
      (result) => send(Message.newMethodReturn(message, result?.[0], result?.[1])),
      (error: unknown) => {
        const code = error instanceof CallError ? error.code : `${DBUS}.Error.Failed`;
        send(Message.newError(message, code, (error as Error).message));
      },
    );
  }

  async #result({ path, interface: of, member, body, sender }: Message, answer: (call: Call) => Answer): Answer {
    if (of === `${DBUS}.Peer`) return undefined;
    if (of === `${DBUS}.ObjectManager` && member === 'GetManagedObjects') {
      const all = [...this.#objects].map(([one, interfaces]) => [one, onWire(interfaces)]);
      return ['a{oa{sa{sv}}}', [Object.fromEntries(all)]];
    }
    const known = this.#objects.get(path);
    if (known === undefined) throw new CallError(`${DBUS}.Error.UnknownObject`, `there is no object ${path}`);
    if (of !== `${DBUS}.Properties`) {
      if (known[of] === undefined) throw new CallError(`${DBUS}.Error.UnknownMethod`, `${path} has no ${of}.${member}`);
      return answer({ path, of, name: member, body, sender });
    }
    const [which, name] = body as [string, string];
    const properties = known[which];
    if (properties === undefined) throw new CallError(`${DBUS}.Error.UnknownInterface`, `${path} has no ${which}`);
    if (member === 'GetAll') return ['a{sv}', [variants(properties)]];
    const property = properties[name];
    if (member !== 'Get' || property === undefined) throw new CallError(`${DBUS}.Error.InvalidArgs`, `no ${name}`);
    return ['v', [new Variant(...property)]];
  }
}

function variants(properties: Properties): Record<string, Variant> {
  return Object.fromEntries(
    Object.entries(properties).map(([name, [signature, value]]) => [name, new Variant(signature, value)]),
  );
}

function onWire(interfaces: Interfaces): Record<string, Record<string, Variant>> {
  return Object.fromEntries(Object.entries(interfaces).map(([of, properties]) => [of, variants(properties)]));
}

export function bytesVariant(bytes: Uint8Array): Variant {
  return new Variant('ay', Buffer.from(bytes));
}
