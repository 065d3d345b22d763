/** Remembers what a connection or a supervisor tells. */
import type { LinkReason } from '../../src/core/events.ts';
import type { ConnectionHandlers } from '../../src/links/contract.ts';
import type { LinkEvent } from '../../src/links/supervise.ts';

export interface Heard extends ConnectionHandlers {
  readonly chunks: Uint8Array[];
  readonly ends: { reason: LinkReason; detail: string }[];
  /** Chunks that came after the end: there must be none. */
  readonly late: Uint8Array[];
  readonly text: string;
}

export function listener(): Heard {
  const chunks: Uint8Array[] = [];
  const ends: { reason: LinkReason; detail: string }[] = [];
  const late: Uint8Array[] = [];
  return {
    chunks,
    ends,
    late,
    get text() {
      return latin1(...chunks);
    },
    onBytes(chunk) {
      (ends.length === 0 ? chunks : late).push(Uint8Array.from(chunk));
    },
    onEnd(reason, detail) {
      ends.push({ reason, detail });
    },
  };
}

export function latin1(...chunks: readonly Uint8Array[]): string {
  return Buffer.concat(chunks).toString('latin1');
}

export function bytes(text: string): Uint8Array {
  return new Uint8Array(Buffer.from(text, 'latin1'));
}

/** Events as short lines: easy to compare, easy to read in a failure. */
export function told(event: LinkEvent): string {
  switch (event.kind) {
    case 'link':
      return `${event.state} ${event.reason} #${event.connection}`;
    case 'frame':
      return `frame ${latin1(event.bytes)} #${event.connection}`;
    case 'discard':
      return `discard ${event.reason} ${event.count} ${latin1(event.bytes)} #${event.connection}`;
    case 'write-result':
      return `write ${event.request} ${event.ok ? 'ok' : 'failed'}`;
  }
}
