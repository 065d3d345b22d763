/** Somebody at the machine who does what the job asks for: types the commands, and opens taps of a simulated sump. */
import { Command, Option } from 'commander';
import type { Sump } from '../../simulators/sump.ts';
import { BLOCK_MM } from '../../simulators/sump.ts';
import type { Snapshot } from '../../src/feed/messages.ts';
import { addJobCommands } from '../../src/main-job.ts';
import type { Follower } from './follower.ts';

export interface Answered {
  readonly code: number;
  readonly said: string;
}

/** `stillwell job …` as the command line parses it, in this process: dozens of starts of Node would take minutes. */
export async function typeJob(port: string, ...line: readonly string[]): Promise<Answered> {
  const answer = { code: 0, said: '' };
  const program = new Command('stillwell').exitOverride().configureOutput({ writeErr: () => {} });
  addJobCommands(program, new Option('--port <number>').argParser(Number), {
    out: { write: (text) => (answer.said += text) },
    end: (code) => {
      answer.code = code;
    },
  });
  await program.parseAsync(['job', '--port', port, '--as', 'Ines', ...line], { from: 'user' });
  return answer;
}

type Progress = NonNullable<Snapshot['progress']>;

export class Technician {
  readonly #url: string;
  readonly #follower: Follower;
  readonly #sump: Sump;

  constructor(url: string, follower: Follower, sump: Sump) {
    this.#url = url;
    this.#follower = follower;
    this.#sump = sump;
  }

  /** Types a command; a refusal fails. */
  async types(...line: readonly string[]): Promise<string> {
    const { code, said } = await this.tries(...line);
    if (code !== 0) throw new Error(`stillwell job ${line.join(' ')}: ${code}\n${said}`);
    return said;
  }

  tries(...line: readonly string[]): Promise<Answered> {
    return typeJob(new URL(this.#url).port, ...line);
  }

  /** The job as the feed tells it. */
  get progress(): Progress | null {
    const newest = this.#follower.messages.findLast(({ type }) => type === 'job' || type === 'snapshot');
    return newest?.type === 'job' || newest?.type === 'snapshot' ? newest.progress : null;
  }

  get step(): string | null {
    return this.progress?.now?.step ?? null;
  }

  arrives(...steps: readonly string[]): Promise<string> {
    return this.#follower.until(steps.join(' or '), () => {
      const { step } = this;
      return step !== null && steps.includes(step) ? step : null;
    });
  }

  /** Ticks all, where the job is. */
  async ticks(step: string, ...more: readonly string[]): Promise<void> {
    await this.arrives(step);
    await this.types('tick', 'all', ...more);
  }

  async checksZero(step: string): Promise<void> {
    await this.arrives(step);
    this.#sump.onBlock = true;
    const frames = () => this.#follower.live?.instruments.float?.frames ?? 0;
    const shown = () => this.#follower.live?.channels.level?.value ?? 0;
    await this.#follower.until('the block', () => Math.abs(shown() - BLOCK_MM) < 0.5);
    const from = frames();
    await this.#follower.until('calm on the block', () => frames() > from + 6);
    await this.types('zero', String(BLOCK_MM));
    this.#sump.onBlock = false;
  }

  /** Lets litres out into a jug, and tells them as they are. */
  async drains(litres: number, measure: string): Promise<void> {
    const tC = this.#sump.temperatureC;
    const out = this.#sump.drain(litres);
    await this.types('out', `${out.toFixed(3)} L`, '--with', measure, '--at', `${tC.toFixed(1)} °C`);
  }

  async pours(litres: number, measure: string, tC: number): Promise<void> {
    this.#sump.pour(litres, tC);
    await this.types('in', `${litres.toFixed(3)} L`, '--with', measure, '--at', `${tC} °C`);
  }

  /** As advised, until the level matches. How often. */
  async adjusts(): Promise<number> {
    for (let times = 0; ; times++) {
      if ((await this.arrives('adjust', 'stop')) === 'stop') return times;
      const advice = this.progress?.now?.advice;
      if (advice?.way === 'out') await this.drains(advice.amount, advice.measure);
      else if (advice?.way === 'in') await this.pours(advice.amount, advice.measure, 22);
      else throw new Error(`no amount advised: ${JSON.stringify(advice)}`);
    }
  }
}
