/** The calls to one device: one at a time, each with its limit. */
import { type Clock, LinkFault } from './contract.ts';

export interface Calls {
  /** Starts when all before have settled; a call that is not answered in time is a fault `timed-out`. */
  run<T>(what: string, limitUs: number, start: () => Promise<T>): Promise<T>;
  /** Rejects the call under way, those that wait and those that come. */
  stop(fault: LinkFault): void;
}

export function callQueue(clock: Clock): Calls {
  let last: Promise<unknown> = Promise.resolve();
  let over: LinkFault | null = null;
  let giveUp = (_fault: LinkFault): void => {};

  const limited = async <T>(what: string, limitUs: number, start: () => Promise<T>): Promise<T> => {
    if (over !== null) throw over;
    let cancelLimit = (): void => {};
    const givenUp = new Promise<never>((_, reject) => {
      giveUp = reject;
      cancelLimit = clock.at(clock.nowUs() + limitUs, () =>
        reject(new LinkFault('timed-out', `${what}: no answer within ${limitUs / 1_000_000} s`)),
      );
    });
    try {
      return await Promise.race([start(), givenUp]);
    } finally {
      cancelLimit();
      giveUp = () => {};
    }
  };

  return {
    run(what, limitUs, start) {
      const call = last.then(() => limited(what, limitUs, start));
      last = call.catch(() => {});
      return call;
    },
    stop(fault) {
      over ??= fault;
      giveUp(over);
    },
  };
}
