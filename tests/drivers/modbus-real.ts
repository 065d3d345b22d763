/** The driver on a link, as the core would run it. */
import { modbus } from '../../drivers/modbus/driver.ts';
import { realClock } from '../../src/links/clock.ts';
import type { Clock, Door } from '../../src/links/contract.ts';
import { supervise } from '../../src/links/supervise.ts';

export interface Heard {
  /** What came for each signal, counted by its value. */
  readonly values: Readonly<Record<string, Map<number, number>>>;
  readonly samples: number;
  readonly discarded: Readonly<Record<string, number>>;
  readonly connections: number;
}

export interface Conversation {
  readonly heard: Heard;
  stop(): Promise<void>;
}

export interface Partner {
  readonly door: Door;
  readonly settings: unknown;
  readonly intervalUs: number;
  readonly clock: Clock;
  /** Called after every frame. */
  readonly onFrame?: () => void;
}

export function beginConversation({ door, settings, intervalUs, clock, onFrame }: Partner): Conversation {
  const options = modbus.options.parse(settings);
  const values: Record<string, Map<number, number>> = {};
  const discarded: Record<string, number> = {};
  const heard = { values, samples: 0, discarded, connections: 0 };
  let state = modbus.init(options);
  let cancel = (): void => {};
  const discard = (reason: string): void => {
    discarded[reason] = (discarded[reason] ?? 0) + 1;
  };
  const wake = (atUs: number | null): void => {
    cancel();
    if (atUs !== null) cancel = clock.at(atUs, poll);
  };
  const poll = (): void => {
    const polled = modbus.poll?.(clock.nowUs(), state, options, intervalUs);
    if (polled === undefined) return;
    state = polled.state;
    for (const { reason } of polled.items ?? []) discard(reason);
    for (const bytes of polled.send) link.write(bytes, 0);
    wake(polled.wakeAtUs);
  };
  const link = supervise({
    door,
    instrument: 'line',
    framing: modbus.framing(options),
    clock,
    intervalUs,
    onEvent(event) {
      if (event.kind === 'discard') discard(event.reason);
      if (event.kind === 'link') {
        cancel();
        if (event.state !== 'open') return;
        heard.connections += 1;
        state = modbus.init(options);
        poll();
      }
      if (event.kind !== 'frame') return;
      const frame = { bytes: event.bytes, seq: 1, tUs: clock.nowUs(), request: 0 };
      const decoded = modbus.decode(frame, state, options);
      state = decoded.state;
      for (const item of decoded.items) {
        if (item.kind === 'discarded') {
          discard(item.reason);
          continue;
        }
        const seen = values[item.signal] ?? new Map<number, number>();
        values[item.signal] = seen;
        seen.set(item.value, (seen.get(item.value) ?? 0) + 1);
        heard.samples += 1;
      }
      if (decoded.wakeAtUs !== undefined) wake(decoded.wakeAtUs);
      onFrame?.();
    },
  });
  return {
    heard,
    async stop() {
      cancel();
      await link.stop();
    },
  };
}

/** At real time, until so many values have come. */
export async function converse(door: Door, settings: unknown, intervalUs: number, samples: number): Promise<Heard> {
  let look = (): void => {};
  const talk = beginConversation({ door, settings, intervalUs, clock: realClock(), onFrame: () => look() });
  await new Promise<void>((resolve) => {
    look = () => {
      if (talk.heard.samples >= samples) resolve();
    };
  });
  await talk.stop();
  return talk.heard;
}
