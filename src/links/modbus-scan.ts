/**
 * Which Modbus slaves answer at a port: each number of a range is asked once for its first holding register, one at a
 * time, with a pause after each. Reading changes nothing in a slave.
 */
import { type Answer, FUNCTIONS, type Question } from '../kit/modbus-pdu.ts';
import { rtuAnswer, rtuQuestion, rtuStage } from '../kit/modbus-rtu.ts';
import { tcpAnswer, tcpQuestion, tcpStage } from '../kit/modbus-tcp.ts';
import { type Clock, type Door, LinkFault } from './contract.ts';

export interface ScanOptions {
  readonly door: Door;
  readonly frames: 'rtu' | 'tcp';
  readonly first: number;
  readonly last: number;
  /** How long each is waited for. */
  readonly withinUs: number;
  readonly clock: Clock;
  readonly signal?: AbortSignal;
  onFound(slave: number, answer: Answer): void;
}

/** Between two questions: more than 3.5 characters at 1200 baud. */
const GAP_US = 35_000;
/** What a gateway says of a slave that it does not find. */
const NOT_THERE = [0x0a, 0x0b];

/** Settles when all have been asked, or `signal` aborts; a LinkFault where the connection cannot be made or is lost. */
export async function scanModbus(options: ScanOptions): Promise<void> {
  const { door, frames, first, last, withinUs, clock, signal } = options;
  const found = new Set<number>();
  const asked = new Set<number>();
  let lost: LinkFault | null = null;
  let wake = (): void => {};

  const take = (bytes: Uint8Array): void => {
    const answer = frames === 'tcp' ? tcpAnswer(bytes) : rtuAnswer(bytes);
    if (answer === null || !asked.has(answer.slave) || found.has(answer.slave)) return;
    const isThere = answer.kind === 'data' || !NOT_THERE.includes(answer.code);
    if (isThere) {
      found.add(answer.slave);
      options.onFound(answer.slave, answer);
    }
    wake();
  };
  const slaves = Array.from({ length: last - first + 1 }, (_, n) => first + n);
  const fn = FUNCTIONS['holding-register'];
  const stage = (frames === 'tcp' ? tcpStage : rtuStage)(
    slaves.map((slave) => ({ slave, fn, bytes: 2 })),
    { onFrame: take, onDiscard: () => {} },
  );
  const pause = (us: number): Promise<void> =>
    new Promise((resolve) => {
      const cancel = clock.at(clock.nowUs() + us, resolve);
      wake = () => {
        cancel();
        resolve();
      };
    });

  const connection = await door.open(
    {
      onBytes: (chunk) => stage.push(chunk),
      onEnd(reason, detail) {
        lost = new LinkFault(reason, detail);
        wake();
      },
    },
    signal,
  );
  const isOver = (): boolean => lost !== null || signal?.aborted === true;
  const stop = (): void => wake();
  signal?.addEventListener('abort', stop);
  try {
    for (const slave of slaves) {
      if (isOver()) break;
      const question: Question = { slave, fn, address: 0, count: 1 };
      asked.add(slave);
      await connection.write(frames === 'tcp' ? tcpQuestion(question, slave) : rtuQuestion(question));
      await pause(withinUs);
      if (!isOver()) await pause(GAP_US);
    }
    if (lost !== null) throw lost as LinkFault;
  } finally {
    signal?.removeEventListener('abort', stop);
    await connection.close();
  }
}
