/** English for what the bench says by code and figures: gates, verdicts, refusals, states, components. */

import type {
  BudgetLine,
  DiscardReason,
  GateId,
  LinkReason,
  LinkState,
  Quality,
  QualityReason,
  Refusal,
  Verdict,
} from '../../core/events.ts';
import { alarmsEn } from './alarms-en.ts';
import { jobsEn } from './jobs-en.ts';

type Distribution = BudgetLine['distribution'];

/** Figures of a gate as they are shown, with their units; empty where there is none. */
export interface GateFigures {
  readonly value: string;
  readonly limit: string;
  readonly low: string;
  readonly high: string;
  readonly channel: string;
}

/** What a gate says: in two or three words to be read from afar, and in a sentence. */
export interface GateSaying {
  readonly short: string;
  readonly long: (figures: GateFigures) => string;
}

/** A verdict in figures, as they are shown. */
export interface VerdictFigures {
  /** Size of the difference, empty where it is none in the figures shown. */
  readonly size: string;
  readonly below: boolean;
  readonly uncertainty: string;
  readonly tolerance: string;
  readonly sure: string;
}

const tooFew: GateSaying = { short: 'too few values', long: () => 'Too few level values yet.' };
const unheard: GateSaying = {
  short: 'nothing heard',
  long: () => 'Nothing comes from the level sensor that could tell.',
};

export const saidEn = {
  gateNames: {
    fresh: 'New values coming in',
    record: 'Record kept',
    window: 'Temperature window',
    answers: 'Level sensor not stuck',
    air: 'Surface seen well',
    calm: 'Calm surface',
    settled: 'Level settled',
  } satisfies Record<GateId, string>,
  gateSays: {
    fresh: {
      fresh: { short: 'values come in', long: () => 'Temperature and level are coming in.' },
      'no-value-yet': { short: 'no values yet', long: (f: GateFigures) => `No ${f.channel} value yet.` },
      stale: { short: 'no new values', long: (f: GateFigures) => `No new ${f.channel} value for ${f.value}.` },
    },
    record: {
      recording: { short: 'record kept', long: () => 'The record is being kept.' },
      'not-recording': { short: 'not recording', long: () => 'The disk cannot follow: nothing is being kept.' },
    },
    window: {
      'no-value-yet': { short: 'no temperature', long: () => 'No temperature yet.' },
      inside: { short: 'in the window', long: (f: GateFigures) => `${f.value} is within ${f.low} to ${f.high}.` },
      'too-cold': {
        short: 'too cold',
        long: (f: GateFigures) => `${f.value}: too cold for the window of ${f.low} to ${f.high}.`,
      },
      'too-hot': {
        short: 'too hot',
        long: (f: GateFigures) => `${f.value}: too hot for the window of ${f.low} to ${f.high}.`,
      },
      'stays-cold': {
        short: 'stays too cold',
        long: (f: GateFigures) =>
          `${f.value}: too cold for the window of ${f.low} to ${f.high}. It will not get there at this rate.`,
      },
      'stays-hot': {
        short: 'stays too hot',
        long: (f: GateFigures) =>
          `${f.value}: too hot for the window of ${f.low} to ${f.high}. It is not cooling down to it.`,
      },
    },
    answers: {
      'at-end': {
        short: 'end of range',
        long: () => 'The level sensor shows the end of its range: the level may be beyond it.',
      },
      unheard,
      answering: { short: 'sensor answers', long: () => 'The level sensor answers to what it sees.' },
      stuck: {
        short: 'sensor stuck',
        long: (f: GateFigures) => `The level sensor has sent exactly the same value for ${f.value}: it may be stuck.`,
      },
    },
    air: {
      'echoes-lost': {
        short: 'values missing',
        long: (f: GateFigures) =>
          `Level values are missing or wild (${f.value}): air in the fluid, or a sensor or cable that has come loose.`,
      },
      'echo-fading': {
        short: 'echo fades',
        long: (f: GateFigures) =>
          `The echo has faded to ${f.value} of its usual strength: air in the fluid, or a sensor coming loose.`,
      },
      unheard,
      clear: { short: 'no air', long: () => 'No sign of air: the echoes come in.' },
    },
    calm: {
      'no-value-yet': tooFew,
      calm: { short: 'calm', long: (f: GateFigures) => `The surface is calm: waves of ${f.value}.` },
      waves: {
        short: 'waves',
        long: (f: GateFigures) => `The surface moves: waves of ${f.value}, ${f.limit} allowed.`,
      },
    },
    settled: {
      'no-value-yet': tooFew,
      unclear: {
        short: 'values apart',
        long: () => 'The latest level values stand apart from the rest: a move, or false echoes.',
      },
      overdue: { short: 'value overdue', long: () => 'The next level value is overdue.' },
      settled: {
        short: 'settled',
        long: (f: GateFigures) =>
          `The level has settled: within ${f.value} of where it comes to rest, ${f.limit} allowed.`,
      },
      changed: { short: 'level moves', long: () => 'The level has just begun to move.' },
      rising: {
        short: 'level rises',
        long: (f: GateFigures) => `The level still rises: up to ${f.value} to go, ${f.limit} allowed.`,
      },
      falling: {
        short: 'level falls',
        long: (f: GateFigures) => `The level still falls: up to ${f.value} to go, ${f.limit} allowed.`,
      },
      'too-short': {
        short: 'watching still',
        long: (f: GateFigures) =>
          `The level looks settled, but was watched too short to be sure: it may have ${f.value} to go, ${f.limit} allowed.`,
      },
    },
  } satisfies Record<GateId, Record<string, GateSaying>>,

  verdicts: {
    below: 'BELOW',
    within: 'WITHIN',
    above: 'ABOVE',
    undecided: 'TOO NEAR TO TELL',
    'not-comparable': 'NOT COMPARED',
  } satisfies Record<Verdict['result'], string>,
  verdictAtTarget: 'at the target',
  verdictSide: (f: VerdictFigures) => `${f.size} ${f.below ? 'below' : 'above'} the target`,
  verdictFact: (side: string, f: VerdictFigures) => `${side}, sure to ±${f.uncertainty}; ±${f.tolerance} is allowed.`,
  verdictSure: (f: VerdictFigures) => `${f.sure} sure.`,
  verdictUndecided: (fact: string) => `As near as this bench can tell: ${fact}`,
  verdictNever: 'No level would be sure to be within, as things are.',
  verdictImprove: (remedy: string) => `To tell more: ${remedy}.`,
  verdictDoubt: (remedy: string, component: string) => `To tell more: ${remedy} (most of the doubt: ${component}).`,
  moreThan: (share: string) => `More than ${share}`,
  notCompared: {
    'machine-state': 'The machine was in another state.',
    channels: 'They were read by other channels. Take the target again.',
    reference: 'They stand for other temperatures.',
    compensation: 'They were brought to the reference in other ways. Take the target again.',
    calibration: 'An instrument was calibrated in between. Take the target again.',
  } satisfies Record<NonNullable<Verdict['why']>, string>,

  /** Components of an uncertainty by the beginning of their name; none here, the bench speaks English. */
  components: {} as Readonly<Record<string, { readonly name: string; readonly remedy: string }>>,
  distributions: {
    normal: 'normal',
    rectangular: 'either way, all alike',
    triangular: 'either way, the middle more often',
    arcsine: 'either way, swinging',
    t: 'from few values',
  } satisfies Record<Distribution, string>,

  refusals: {
    ...alarmsEn.refusals,
    ...jobsEn.refusals,
    'stale-revision': 'Something changed meanwhile. Look again, then ask again.',
    role: 'This role may look, not act.',
    'not-ready': 'A gate is shut: the level could not be read yet.',
    'job-open': 'A job is open already. Close it first.',
    'no-job': 'No job is open.',
    'not-typed': 'This value is measured, not typed.',
    'out-of-range': 'That value cannot be. Look again.',
    'no-such-state': 'The bench does not know this state.',
    'no-tolerance': 'This bench has no tolerance for a match.',
    'no-such-reading': 'That reading is not among the newest of this job.',
    'nothing-to-accept': 'There is no verdict left open.',
    'not-calm': 'The sensor is not calm on the block yet. Wait a few seconds, then ask again.',
    'not-recording': 'The record cannot be kept just now, so nothing is taken.',
  } satisfies Record<Refusal, string>,

  /** Errors of the feed that a technician may meet, by code; the others say what a programmer did wrong. */
  feedErrors: {
    busy: 'Too many wait for their answer. Wait a moment, then ask again.',
    failed: 'It failed on the computer of the bench; its log says why. Look at the record before asking again.',
  } as Readonly<Record<string, string>>,
  linkStates: { opening: 'Opening', open: 'Connected', closed: 'Not connected' } satisfies Record<LinkState, string>,
  /** Null: what the bench says of itself is shown, it is English and may say more. */
  linkReasons: null as Readonly<Record<LinkReason, string>> | null,
  discardReasons: {
    'first-partial': 'beginning of a message missing',
    'cut-tail': 'cut off by a lost connection',
    'too-long': 'too long to be a message',
    'no-match': 'does not fit the pattern',
    'bad-number': 'not a number',
    'wrong-columns': 'wrong number of columns',
    empty: 'empty',
    'non-text': 'not text',
    checksum: 'check at its end does not fit',
    unasked: 'answer that nobody waited for',
    'no-answer': 'asked, no answer',
    'driver-failed': 'driver failed',
    echo: 'own question heard back',
    'illegal-function': 'refused: no such function',
    'illegal-address': 'refused: no such address',
    'illegal-value': 'refused: question not allowed',
    'device-failure': 'refused: fault in the instrument',
    'device-busy': 'refused: instrument busy',
    'gateway-path': 'gateway has no way to the instrument',
    'gateway-target': 'no answer behind the gateway',
  } satisfies Record<DiscardReason, string>,
  floods: 'Sends more than the bench file says, and more than can be kept.',
  quality: { good: '', suspect: 'doubtful', bad: 'not usable' } satisfies Record<Quality, string>,
  qualityReasons: {
    'out-of-range': 'out of range',
    outlier: 'stands out from the rest',
    sentinel: 'a value that stands for a fault',
    'echo-weak': 'echo too weak',
    'echo-lost': 'no echo',
    'second-echo': 'twice the way: second echo',
    'ring-down': 'as near as the sensor rings',
    reported: 'the instrument says so',
    'broken-loop': 'no current: wire broken, or a transmitter that reports a failure',
    'failure-current': 'the transmitter reports a failure',
    'open-circuit': 'sensor or its wire is open',
    'short-circuit': 'sensor or its wire is bridged',
    ambiguous: 'two temperatures give this signal',
    'no-context': 'a value that it is worked out with is missing or old',
    'context-out-of-range': 'a value that it is worked out with is out of range',
  } satisfies Record<QualityReason, string>,
};
