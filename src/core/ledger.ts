import { carry } from './carried.ts';
import type { Outcome, OutcomeBody, Output, Stamp } from './events.ts';
import type { State } from './state.ts';
import { ALGORITHM_VERSION } from './version.ts';

/** Collects what one input leads to. Outcomes get their number here and are folded into what a restart carries over. */
export class Ledger {
  readonly outputs: Output[] = [];
  readonly #state: State;
  readonly #stamp: Stamp;

  constructor(state: State, { seq, tUs }: Stamp) {
    this.#state = state;
    this.#stamp = { seq, tUs };
  }

  /** Something was decided by this input. */
  get decided(): boolean {
    return this.outputs.some(({ kind }) => kind === 'outcome');
  }

  say(output: Exclude<Output, { kind: 'outcome' }>): void {
    this.outputs.push(output);
  }

  decide(body: OutcomeBody): void {
    const outcome: Outcome = {
      ...body,
      ...this.#stamp,
      event: this.#state.carried.lastEvent + 1,
      run: this.#state.run,
      algorithm: ALGORITHM_VERSION,
    };
    this.#state.carried = carry(this.#state.carried, outcome);
    this.outputs.push({ kind: 'outcome', outcome });
  }
}
