/** The objects of BlueZ as it tells of them: a mirror of its ObjectManager, and word of every change. */
import type { BluezBus, Signal } from './bluez-bus.ts';

export type Properties = Readonly<Record<string, unknown>>;

export interface Change {
  readonly kind: 'added' | 'changed' | 'removed';
  readonly path: string;
  readonly of: string;
  /** What has come with it; all that it had where it was removed. */
  readonly properties: Properties;
}

export class BluezTree {
  readonly #objects = new Map<string, Map<string, Record<string, unknown>>>();
  readonly #listeners = new Set<(change: Change) => void>();

  /** Reads everything anew. */
  async read(bus: BluezBus): Promise<void> {
    const [all] = await bus.call('/', { of: 'org.freedesktop.DBus.ObjectManager', name: 'GetManagedObjects' });
    this.#objects.clear();
    for (const [path, interfaces] of Object.entries(all as Record<string, Record<string, Properties>>))
      for (const [of, properties] of Object.entries(interfaces)) this.#put(path, of, properties);
  }

  /** Every object that has the interface. */
  all(of: string): readonly { readonly path: string; readonly properties: Properties }[] {
    return [...this.#objects].flatMap(([path, interfaces]) => {
      const properties = interfaces.get(of);
      return properties === undefined ? [] : [{ path, properties }];
    });
  }

  properties(path: string, of: string): Properties | null {
    return this.#objects.get(path)?.get(of) ?? null;
  }

  /** Answers a function that ends it. */
  watch(listener: (change: Change) => void): () => void {
    this.#listeners.add(listener);
    return () => this.#listeners.delete(listener);
  }

  take({ path, member, body }: Signal): void {
    if (member === 'InterfacesAdded') {
      const [object, interfaces] = body as [string, Record<string, Properties>];
      for (const [of, properties] of Object.entries(interfaces)) {
        this.#put(object, of, properties);
        this.#tell({ kind: 'added', path: object, of, properties });
      }
    } else if (member === 'InterfacesRemoved') {
      const [object, interfaces] = body as [string, string[]];
      for (const of of interfaces) {
        const properties = this.properties(object, of) ?? {};
        this.#objects.get(object)?.delete(of);
        if (this.#objects.get(object)?.size === 0) this.#objects.delete(object);
        this.#tell({ kind: 'removed', path: object, of, properties });
      }
    } else if (member === 'PropertiesChanged') {
      const [of, changed, invalid] = body as [string, Properties, string[]];
      const known = this.#objects.get(path)?.get(of);
      if (known === undefined) return;
      Object.assign(known, changed);
      for (const name of invalid) delete known[name];
      this.#tell({ kind: 'changed', path, of, properties: changed });
    }
  }

  #put(path: string, of: string, properties: Properties): void {
    const interfaces = this.#objects.get(path) ?? new Map<string, Record<string, unknown>>();
    this.#objects.set(path, interfaces.set(of, { ...properties }));
  }

  #tell(change: Change): void {
    for (const listener of [...this.#listeners]) listener(change);
  }
}
