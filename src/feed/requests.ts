/** What one client sends: counted, checked, acted upon. Whatever comes in, the answer is a message or a close. */
import type { RawData } from 'ws';
import type { Clock } from '../links/contract.ts';
import { take } from './intake.ts';
import { type FeedLog, thrownWords } from './log.ts';
import { type ClientMessage, clientMessage, type ServerMessage } from './messages.ts';
import { RateLimit } from './rate.ts';
import type { FeedSource } from './source.ts';

export const MESSAGES_PER_SECOND = 50;
export const MOST_PENDING_ACTIONS = 32;

export interface RequestParts {
  readonly source: FeedSource;
  readonly clock: Clock;
  readonly log: FeedLog;
  readonly send: (message: ServerMessage) => void;
}

export class Requests {
  readonly #parts: RequestParts;
  readonly #rate: RateLimit;
  #pending = 0;

  constructor(parts: RequestParts) {
    this.#parts = parts;
    this.#rate = new RateLimit(parts.clock, MESSAGES_PER_SECOND);
  }

  /** Counts one message of any kind. False when the client floods. */
  count(): boolean {
    return this.#rate.take();
  }

  take(data: RawData, isBinary: boolean): void {
    if (isBinary || !Buffer.isBuffer(data)) {
      this.#refuse('not-text', 'Send text messages, not binary ones.');
      return;
    }
    const taken = take(data.toString(), clientMessage);
    if (!taken.ok) this.#refuse(taken.code, taken.words);
    else if (this.#pending >= MOST_PENDING_ACTIONS)
      this.#refuse('busy', `Action ${taken.value.actionId} was not taken: too many are waiting for their outcome.`);
    else void this.#act(taken.value);
  }

  async #act({ type: _type, ...request }: ClientMessage): Promise<void> {
    const { source, log, send } = this.#parts;
    this.#pending++;
    try {
      send(await source.act(request));
    } catch (error) {
      log.error({ error: thrownWords(error), actionId: request.actionId }, 'an action failed');
      this.#refuse('failed', `Action ${request.actionId} failed here. Send it again with the same id.`);
    } finally {
      this.#pending--;
    }
  }

  #refuse(code: string, words: string): void {
    this.#parts.send({ type: 'error', code, words });
  }
}
