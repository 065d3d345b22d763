/** What the feed says of an action, in English. */
import type { ActionOutcome, Refusal } from '../core/events.ts';
import type { ActionResult } from './messages.ts';

export const REFUSAL_WORDS: Readonly<Record<Refusal, string>> = {
  'stale-revision': 'Something changed since you last looked. Look again, then repeat it.',
  role: 'A viewer may look, not act.',
  'not-ready': 'Not ready to read: a gate is shut. Its reason is shown.',
  'job-open': 'A job is open already. Close it first.',
  'no-job': 'No job is open.',
  'not-typed': 'This channel is measured, not typed.',
  'out-of-range': 'That value is outside the range of this channel. Look again.',
  'no-such-state': 'The bench file does not list this state of the machine.',
  'not-recording':
    'The record cannot be kept just now, so nothing is taken. Free disk space, or stop the instrument that sends too much, then repeat it.',
  'no-tolerance': 'This bench says nothing of a match. Give it a tolerance under measure.match in the bench file.',
  'no-such-reading': 'That reading is not among the newest of this job.',
  'nothing-to-accept': 'There is no verdict that this bench could not settle.',
  'no-procedure': 'The open job follows no procedure.',
  'no-such-procedure':
    'There is no procedure of this name here. The bench file lists them; `stillwell procedure list` too.',
  'field-missing': 'A field that the procedure requires is empty.',
  'other-step': 'The job is at another step by now. Look again.',
  'step-forbids': 'This step does not ask for that.',
  blocked: 'Something is still lacking for this step. Its reasons are shown.',
  'no-such-step': 'There is no such step that was done.',
  'no-such-tick': 'The list of this step has no such tick.',
  'no-such-answer': 'The step does not offer this answer.',
  'no-such-entry': 'There is no such entry to be made or corrected.',
  'no-such-measure': 'The step does not offer this measure.',
  'no-such-photo': 'A photo that this names was not sent before. Send it, then repeat it.',
  'entries-missing': 'A value that this step requires was not entered yet.',
  mismatch: 'It is not the same as it should be. Look at the label again; if it is right all the same, say why.',
  'reason-missing': 'Say why: a reason belongs to it.',
  'steps-left': 'Steps are left. Finish them, or say why the job ends here.',
  paused: 'The job is paused. Go on with it first.',
  'not-paused': 'The job is not paused.',
  'engine-off': 'The engine stands still: nothing counts until it has run again.',
  'not-calm': 'The sensor is not calm on the block yet, or sends nothing. Wait a few seconds, then repeat it.',
  'no-such-alarm': 'There is no such alarm on this bench.',
  'nothing-to-acknowledge': 'This alarm has been acknowledged already, or is normal.',
  'no-reason': 'Say why: a reason is kept with it.',
  'shelving-time': 'An alarm is shelved for at least a minute and at most eight hours.',
  'not-shelved': 'This alarm is not shelved.',
};

export function actionResult(outcome: ActionOutcome & { readonly event: number }): ActionResult {
  const { actionId, accepted, refusal, revision, event } = outcome;
  const words = refusal === null ? 'Done, and on record.' : REFUSAL_WORDS[refusal];
  return { type: 'action-result', actionId, accepted, refusal, words, revision, event };
}

/** Refused before the core: there is no record to put an outcome into. */
export function notRecording(actionId: string, revision: number): ActionResult {
  return refusedBefore(actionId, revision, 'not-recording');
}

/** Refused before the core, so without an outcome. */
export function refusedBefore(actionId: string, revision: number, refusal: Refusal): ActionResult {
  return {
    type: 'action-result',
    actionId,
    accepted: false,
    refusal,
    words: REFUSAL_WORDS[refusal],
    revision,
    event: null,
  };
}
