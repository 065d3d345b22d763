/** The door of a serial link: finds the port of the device anew for every connection, and asks who is there. */
import type { LinkDescription } from '../core/description.ts';
import type { LinkReason } from '../core/events.ts';
import { type Clock, type Connection, type Door, LinkFault } from './contract.ts';
import { messageOf } from './door-parts.ts';
import { findWords, fitting } from './find.ts';
import { askingDoor } from './identify.ts';
import type { PortRow } from './ports.ts';

export interface SearchOptions {
  readonly link: Extract<LinkDescription, { kind: 'serial' }>;
  readonly clock: Clock;
  /** The ports that there are. */
  readonly list: () => Promise<readonly PortRow[]>;
  /** The door to one port. */
  readonly doorTo: (path: string) => Door;
}

/** Of several faults, the one that tells most. */
const TELLING: readonly LinkReason[] = ['other-device', 'busy', 'forbidden', 'timed-out', 'io-error', 'not-a-device'];

export function searchDoor({ link, clock, list, doorTo }: SearchOptions): Door {
  const { find, identify } = link;
  const known = new Map<string, Door>();
  /**
   * When a port was last found wrong, counted; 0 where it never was, below 0 where the device was last. Those longest ago
   * come first: the right one leaves the others in peace, and two that look for each other's port do not keep step.
   */
  const wrong = new Map<string, number>();
  let tries = 0;

  const doorAt = (path: string): Door => {
    const door = known.get(path) ?? doorTo(path);
    known.set(path, door);
    return identify === null ? door : askingDoor(door, identify, clock);
  };

  return {
    name: `serial port ${findWords(find)}`,
    async open(handlers, signal): Promise<Connection> {
      const rows = find.by === 'path' ? [] : await list();
      const paths = fitting(find, rows, identify !== null);
      for (const path of known.keys()) if (!paths.includes(path)) known.delete(path);
      const faults: { readonly path: string; readonly fault: LinkFault }[] = [];
      for (const path of paths.toSorted((a, b) => (wrong.get(a) ?? 0) - (wrong.get(b) ?? 0))) {
        if (signal?.aborted) throw new LinkFault('stopped', 'given up while opening');
        try {
          const connection = await doorAt(path).open(handlers, signal);
          for (const [other, when] of wrong) if (when < 0) wrong.delete(other);
          wrong.set(path, -1);
          return connection;
        } catch (error) {
          const fault = error instanceof LinkFault ? error : new LinkFault('io-error', messageOf(error));
          if (fault.reason === 'stopped') throw fault;
          if (fault.reason === 'other-device' || fault.reason === 'timed-out') wrong.set(path, ++tries);
          faults.push({ path, fault });
        }
      }
      throw together(faults);
    },
  };
}

function together(faults: readonly { readonly path: string; readonly fault: LinkFault }[]): LinkFault {
  const reasons = faults.map(({ fault }) => fault.reason);
  const reason = TELLING.find((one) => reasons.includes(one)) ?? reasons[0] ?? 'not-found';
  const [only, ...others] = faults;
  if (only !== undefined && others.length === 0) return only.fault;
  return new LinkFault(reason, faults.map(({ path, fault }) => `${path}: ${fault.message}`).join('; '));
}
