/** A journal on its own temporary folder, and promises for what it says. */
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import type { Durable, Journal, JournalEvents } from '../../src/journal/contract.ts';
import { openJournal } from '../../src/journal/journal.ts';

export function temporaryFolder(): { readonly path: string; remove(): void } {
  const path = mkdtempSync(join(tmpdir(), 'stillwell-journal-'));
  return { path, remove: () => rmSync(path, { recursive: true, force: true }) };
}

export interface Watched {
  readonly journal: Journal;
  readonly durable: readonly Durable[];
  readonly refused: readonly { readonly code: string; readonly detail: string }[];
  /** Settles when everything up to `seq` is durable. */
  untilSeq(seq: number): Promise<void>;
  /** Settles with the next refusal. */
  untilRefused(): Promise<{ readonly code: string; readonly detail: string }>;
}

export async function watch(path: string): Promise<Watched> {
  const durable: Durable[] = [];
  const refused: { code: string; detail: string }[] = [];
  let waiting: { seq: number; resolve: () => void }[] = [];
  let refusals: ((refusal: { code: string; detail: string }) => void)[] = [];
  const events: JournalEvents = {
    onDurable(upTo) {
      durable.push(upTo);
      for (const { resolve } of waiting.filter(({ seq }) => seq <= upTo.seq)) resolve();
      waiting = waiting.filter(({ seq }) => seq > upTo.seq);
    },
    onRefused(code, detail) {
      refused.push({ code, detail });
      for (const resolve of refusals) resolve({ code, detail });
      refusals = [];
    },
  };
  const journal = await openJournal(path, events);
  return {
    journal,
    durable,
    refused,
    untilSeq: (seq) =>
      new Promise((resolve) => {
        if ((durable.at(-1)?.seq ?? journal.opened.lastSeq) >= seq) resolve();
        else waiting.push({ seq, resolve });
      }),
    untilRefused: () => new Promise((resolve) => refusals.push(resolve)),
  };
}
