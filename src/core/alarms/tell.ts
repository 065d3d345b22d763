/** How a change of an alarm becomes an outcome: its new state follows from the one that it stood in. */
import type { Ledger } from '../ledger.ts';
import type { State } from '../state.ts';
import { type AlarmOutcome, standingAlarm } from './standing.ts';
import { afterChange, NORMAL } from './state-machine.ts';

export type AlarmNews = Pick<AlarmOutcome, 'alarm' | 'source' | 'state' | 'priority' | 'why'> &
  Partial<Omit<AlarmOutcome, 'kind' | 'stands'>>;

const UNSAID = { message: null, value: null, limit: null, unit: null, by: null, untilUs: null } as const;

export function tellAlarm(state: State, news: AlarmNews, ledger: Ledger): void {
  const { stands } = afterChange(standingAlarm(state.carried.alarms, news) ?? NORMAL, news.state);
  ledger.decide({ kind: 'alarm', ...UNSAID, ...news, stands });
}
