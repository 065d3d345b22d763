/** The bench that runs on this computer, as a command speaks with it: over HTTP, like any other program. */
import { randomUUID } from 'node:crypto';
import { drivers } from '../../drivers/index.ts';
import { formatMistakes } from '../config/format.ts';
import { loadBench } from '../config/load.ts';
import type { ActionBody } from '../core/events.ts';
import { StillwellError } from '../errors.ts';
import { ACTIONS_PATH, PHOTOS_PATH } from '../feed/access.ts';
import { type ActionResult, actionResult, type Snapshot, snapshot } from '../feed/messages.ts';
import { readBench } from './run.ts';

export interface WhichBench {
  /** Of the page; else that of the bench file, else the usual one. */
  readonly port?: number;
  readonly bench?: string;
}

const USUAL_PORT = 8720;
/** A bench on this computer answers within milliseconds; an action waits for the disk. */
const PATIENCE_MS = 30_000;

/** @throws StillwellError config-unreadable, config-invalid */
export function addressOf({ port, bench }: WhichBench): string {
  return `http://127.0.0.1:${port ?? (bench === undefined ? USUAL_PORT : portOf(bench))}`;
}

function portOf(file: string): number {
  const text = readBench(file);
  const loaded = loadBench(text, file, drivers);
  if (!loaded.ok) throw new StillwellError('config-invalid', file, formatMistakes(file, text, loaded.mistakes));
  return loaded.settings.port ?? USUAL_PORT;
}

/** Every call throws StillwellError bench-unreachable where no bench answers. */
export class BenchFeed {
  readonly #url: string;
  readonly #actor: string;

  /** `url` without a slash at its end; `actor`: who acts, as the record names them. */
  constructor(url: string, actor: string) {
    this.#url = url;
    this.#actor = actor;
  }

  async look(): Promise<Snapshot> {
    const answer = await this.#fetch('/api/snapshot');
    const read = snapshot.safeParse(await jsonOf(answer));
    if (!read.success)
      throw new StillwellError('bench-unreachable', this.#url, 'something else answers there, or another version');
    return read.data;
  }

  /** Done on what `seen` shows: refused as stale where things have moved since. */
  async act(seen: Pick<Snapshot, 'revision'>, body: ActionBody): Promise<ActionResult> {
    const action = {
      ...{ actionId: randomUUID(), actor: this.#actor, role: 'technician', expectedRevision: seen.revision, body },
    };
    const answer = await this.#fetch(ACTIONS_PATH, {
      method: 'POST',
      headers: { 'Content-Type': 'application/json' },
      body: JSON.stringify(action),
    });
    const read = actionResult.safeParse(await jsonOf(answer));
    if (!read.success) throw new StillwellError('bench-refused', this.#url, `answer ${answer.status}`);
    return read.data;
  }

  /** Its SHA-256, by which a step names it. */
  async keepPhoto(bytes: Uint8Array, type: string): Promise<string> {
    const answer = await this.#fetch(PHOTOS_PATH, {
      method: 'POST',
      headers: { 'Content-Type': type },
      body: Buffer.from(bytes),
    });
    const told = (await jsonOf(answer)) as { readonly sha256?: unknown; readonly words?: unknown } | null;
    if (typeof told?.sha256 === 'string') return told.sha256;
    throw new StillwellError('bench-refused', this.#url, String(told?.words ?? `answer ${answer.status}`));
  }

  async #fetch(path: string, init: RequestInit = {}): Promise<Response> {
    try {
      return await fetch(`${this.#url}${path}`, { ...init, signal: AbortSignal.timeout(PATIENCE_MS) });
    } catch (error) {
      const { cause, message } = error as Error;
      throw new StillwellError('bench-unreachable', this.#url, cause instanceof Error ? cause.message : message);
    }
  }
}

/** Null for what is no JSON. */
async function jsonOf(answer: Response): Promise<unknown> {
  try {
    return await answer.json();
  } catch {
    return null;
  }
}
