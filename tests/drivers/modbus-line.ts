/** A Modbus driver and simulated slaves on one line in virtual time, with every fault that a line can have. */

import { modbus } from '../../drivers/modbus/driver.ts';
import { type Reply, SlaveLine, SlaveServer, type SlaveSpec } from '../../simulators/modbus-slave.ts';
import { stageFor } from '../../src/links/make.ts';

/** One piece of what a question leads to, so many µs after it. */
export interface Piece {
  readonly afterUs: number;
  readonly bytes: Uint8Array;
}

export interface Line {
  readonly settings: unknown;
  readonly intervalUs: number;
  readonly slaves: readonly SlaveSpec[];
  /** What arrives for a question; without it, the answer after 20 ms. */
  readonly carry?: (reply: Reply, question: number) => readonly Piece[];
  /** What arrives for every question that is written, answered or not: an echo, noise. */
  readonly heard?: (question: Uint8Array, count: number) => readonly Piece[];
}

export interface Sample {
  readonly signal: string;
  readonly value: number;
  readonly tUs: number;
  /** When the question that stood at that time was asked. */
  readonly askedUs: number;
}

export interface Talk {
  readonly samples: readonly Sample[];
  readonly discarded: Readonly<Record<string, number>>;
  /** Questions written, with their times. */
  readonly questions: readonly { readonly tUs: number; readonly bytes: Uint8Array }[];
}

const ANSWER_US = 20_000;

/** Runs until `untilUs` or until so many values have come. */
export function talk(line: Line, untilUs: number, mostSamples = Number.POSITIVE_INFINITY): Talk {
  const options = modbus.options.parse(line.settings);
  const bus = options.frames === 'tcp' ? new SlaveServer(line.slaves) : new SlaveLine(line.slaves);
  const samples: Sample[] = [];
  const discarded: Record<string, number> = {};
  const questions: { tUs: number; bytes: Uint8Array }[] = [];
  const coming: { atUs: number; bytes: Uint8Array }[] = [];
  const count = (reason: string) => {
    discarded[reason] = (discarded[reason] ?? 0) + 1;
  };
  let state = modbus.init(options);
  let nowUs = 0;
  let wakeAtUs: number | null = 0;
  let answers = 0;

  const stage = stageFor(modbus.framing(options), {
    onFrame(bytes) {
      const decoded = modbus.decode({ bytes, seq: 1, tUs: nowUs, request: 0 }, state, options);
      state = decoded.state;
      if (decoded.wakeAtUs !== undefined) wakeAtUs = decoded.wakeAtUs;
      for (const item of decoded.items) {
        if (item.kind === 'discarded') count(item.reason);
        else samples.push({ signal: item.signal, value: item.value, tUs: nowUs, askedUs: questions.at(-1)?.tUs ?? -1 });
      }
    },
    onDiscard: (reason) => count(reason),
  });

  const put = (pieces: readonly Piece[]): void => {
    for (const { afterUs, bytes } of pieces) coming.push({ atUs: nowUs + afterUs, bytes });
    coming.sort((a, b) => a.atUs - b.atUs);
  };

  const poll = (): void => {
    const polled = modbus.poll?.(nowUs, state, options, line.intervalUs);
    if (polled === undefined) throw new Error('the driver never asks');
    state = polled.state;
    wakeAtUs = polled.wakeAtUs;
    for (const { reason } of polled.items ?? []) count(reason);
    for (const bytes of polled.send) {
      questions.push({ tUs: nowUs, bytes });
      put(line.heard?.(bytes, questions.length) ?? []);
      for (const reply of bus.hear(bytes)) {
        put(line.carry?.(reply, answers) ?? [{ afterUs: ANSWER_US, bytes: reply.bytes }]);
        answers += 1;
      }
    }
  };

  while (samples.length < mostSamples) {
    const [next] = coming;
    const dueUs = Math.min(wakeAtUs ?? Number.POSITIVE_INFINITY, next?.atUs ?? Number.POSITIVE_INFINITY);
    if (dueUs > untilUs) break;
    nowUs = Math.max(nowUs, dueUs);
    if (next !== undefined && next.atUs <= nowUs) {
      coming.shift();
      stage.push(next.bytes);
    } else poll();
  }
  stage.end();
  return { samples, discarded, questions };
}

/** Registers that tell where they stand, so that a value in the wrong place shows. */
export class Marked implements SlaveSpec {
  readonly number: number;

  constructor(number: number) {
    this.number = number;
  }

  read(table: number, address: number): number {
    if (table <= 2) return (address + this.number) % 2;
    return this.number * 1000 + table * 100 + (address % 100);
  }
}

/** What stands there. */
export function markOf(slave: number, table: number, address: number): number {
  return new Marked(slave).read(table, address);
}
