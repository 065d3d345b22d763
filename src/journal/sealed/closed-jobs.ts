/** The closed jobs of a journal, as its table of outcomes tells them. */
import type Database from 'better-sqlite3';
import type { Outcome } from '../../core/events.ts';
import { SEALED, type SealedJob } from './format.ts';

export function* closedJobs(db: Database.Database): Generator<SealedJob> {
  const rows = db.prepare<[], { body: string }>("SELECT body FROM outcomes WHERE kind = 'job' ORDER BY event").all();
  let open: Omit<SealedJob, 'closedEvent' | 'closedSeq'> | null = null;
  for (const { body } of rows) {
    const outcome = JSON.parse(body) as Outcome;
    if (outcome.kind !== 'job') continue;
    const { event, seq, run, change, job } = outcome;
    if (change === 'started') open = { id: job.id, label: job.label, run, startedEvent: event, startedSeq: seq };
    else if (open !== null && open.id === job.id) {
      yield { ...open, closedEvent: event, closedSeq: seq };
      open = null;
    }
  }
}

/** Two journals of one name, one after the other, do not share names. */
export function sealedName(journalName: string, journalId: string, job: number): string {
  return `${journalName.replace(/\.journal$/, '')}-${journalId.slice(0, 8)}-job-${job}${SEALED}`;
}
