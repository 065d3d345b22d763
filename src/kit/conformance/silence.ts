import { durationUs } from '../duration.ts';
import type { Context } from './context.ts';
import { INTERVAL_US } from './rig.ts';

interface Silence {
  readonly questionsUs: readonly number[];
  readonly reportsUs: readonly number[];
}

/** For an instrument that can be asked: as in the recording, or with a question of the suite's own. */
export function silence({ driver, options, recording, tools }: Context): string | null {
  const asking = driver.options.safeParse({ ask: { send: '?', within: '250 ms' }, ...(recording.options as object) });
  const used: unknown = asking.success ? asking.data : options;
  const limitUs = limitOf(used);
  const lasting = listen({ driver, options: used, tools }, 20 * Math.max(INTERVAL_US, limitUs ?? 0));
  if (typeof lasting === 'string') return lasting;
  const { questionsUs, reportsUs } = lasting;
  if (questionsUs.length === 0) return limitUs !== null && driver.poll !== undefined ? 'it never asks' : null;
  if (questionsUs.length < 8) return `in a long silence it asks only ${questionsUs.length} times`;
  for (const [index, askedUs] of questionsUs.entries()) {
    const nextUs = questionsUs[index + 1];
    // of the first question the link takes the answer, and the last one is still open
    if (index === 0 || nextUs === undefined) continue;
    const told = reportsUs.filter((atUs) => atUs > askedUs && atUs <= nextUs);
    if (told.length !== 1) return `a question without an answer is reported ${told.length} times`;
    if (limitUs !== null && told[0] !== askedUs + limitUs)
      return `a question without an answer is reported after ${(told[0] ?? 0) - askedUs} µs, not after ${limitUs} µs`;
  }
  return null;
}

function listen(
  { driver, options, tools }: Pick<Context, 'driver' | 'options' | 'tools'>,
  untilUs: number,
): Silence | string {
  const questionsUs: number[] = [];
  const reportsUs: number[] = [];
  let state = driver.init(options);
  let wakeAtUs: number | null = 0;
  for (let polls = 0; wakeAtUs !== null && wakeAtUs < untilUs; polls++) {
    const nowUs: number = wakeAtUs;
    if (polls > 400) return 'it wants to be woken again and again at the same time';
    const early = driver.poll?.(nowUs - 1, tools.clone(state), options, INTERVAL_US);
    if (polls > 0 && (early?.wakeAtUs !== nowUs || early.send.length > 0))
      return `woken 1 µs early at ${nowUs}, it does not just wait`;
    const polled = driver.poll?.(nowUs, state, options, INTERVAL_US);
    if (polled === undefined) break;
    if (polled.send.length > 0) questionsUs.push(nowUs);
    if (polled.items?.some(({ reason }) => reason === 'no-answer')) reportsUs.push(nowUs);
    state = polled.state;
    wakeAtUs = polled.wakeAtUs;
  }
  return { questionsUs, reportsUs };
}

/** The time limit of the shared setting `ask`, or of a driver that always asks; null where there is none. */
function limitOf(options: unknown): number | null {
  const { ask, within = ask?.within } = options as { ask?: { within?: unknown }; within?: unknown };
  return typeof within === 'string' ? durationUs(within) : null;
}
