/**
 * Every text of the page, in one place (English). Words that come with the data (gates, instruments, refusals) are
 * shown as the feed gives them; what only has a code there gets its words here.
 */
import type {
  ActionBody,
  BudgetLine,
  DiscardReason,
  GateId,
  LinkState,
  Quality,
  QualityReason,
  Refusal,
  Verdict,
} from '../core/events.ts';

type Distribution = BudgetLine['distribution'];

export const WORDS = {
  product: 'Stillwell',
  state: {
    ready: { word: 'READY', rest: 'to read' },
    wait: { word: 'WAIT', rest: 'not to be read yet' },
    lost: { word: 'LOST', rest: 'no connection' },
    connecting: { word: 'WAIT', rest: 'looking for the bench' },
  },
  readNow: 'The level may be read now.',
  allOpen: 'Every gate is open.',
  readyFor: (span: string) => `Every gate is open, for ${span} now.`,
  readingTaken: (id: number) => `Reading ${id} is taken:`,
  waitingFor: 'Waiting for',
  alsoShut: 'Then',
  noGates: 'The first values have not come yet.',
  noForecast: 'No time can be given.',
  lostFor: (span: string) => `Nothing heard for ${span}. Trying again by itself.`,
  lostWarning: 'Everything below is old. Do not read from it.',
  connectingHint: 'The page asks the bench for its state.',
  otherVersion: 'This page and the bench are of different versions. Load the page again.',
  missedTooMuch: 'What happened while the connection was away is in the record, but not marked here.',
  notRecording:
    'Not recording: the disk does not take the record. Nothing shown now is kept, and no reading is possible.',
  flooded: (instrument: string) =>
    `Not recording: ${instrument} sends more than can be kept. Nothing shown now is kept, and no reading is possible.`,

  toGo: {
    now: 'any moment now',
    about: (estimate: string) => `about ${estimate} to go`,
    rulerStart: 'now',
    rulerEnd: (span: string) => `in ${span}`,
    between: (low: string, high: string) => `${low}–${high}`,
    atLeast: (low: string) => `at least ${low}`,
  },
  ago: {
    now: 'just now',
    ago: (span: string) => `${span} ago`,
    seconds: (n: number) => `${n} s`,
    minutes: (n: number) => `${n} min`,
    hours: (n: number) => `${n} h`,
    days: (n: number) => (n === 1 ? '1 day' : `${n} days`),
  },

  temperature: 'Temperature',
  level: 'Level',
  levelAt: (referenceC: string) => `Level at ${referenceC}`,
  window: (low: string, high: string) => `counts from ${low} to ${high}`,
  asMeasured: (value: string) => `as measured ${value}`,
  about: (volume: string) => `about ${volume}`,
  nothing: '––',
  fresh: 'live',
  old: (span: string) => `old · ${span}`,
  oldUnknown: 'old',
  never: 'no value yet',

  lastReading: 'Last reading',
  noReading: 'None yet. It is taken by itself as soon as the level may be read.',
  at: (referenceC: string) => `at ${referenceC}`,
  plusMinus: (uncertainty: string) => `±${uncertainty}, for about 95 of 100 readings`,
  readingFrom: (used: number, span: string) => `${used} ${used === 1 ? 'sample' : 'samples'} over ${span}`,
  setAside: (n: number) => (n === 0 ? 'none set aside' : `${n} set aside`),
  measuredHot: (level: string, temperature: string) => `Measured ${level} at ${temperature}`,
  machine: (state: string) => `Machine: ${state}`,
  cause: { ready: 'Taken by itself', asked: 'Asked for', anyway: 'Taken although not ready' },
  number: (id: number) => `No. ${id}`,
  budget: {
    summary: 'Where the ± comes from',
    component: 'Component',
    contribution: 'Adds',
    how: (kind: string, stated: string, sensitivity: string) => `${kind}: ${stated} at ${sensitivity}`,
    stated: (value: string, distribution: string, divisor: string) => `${value} ${distribution}, ÷ ${divisor}`,
    distributions: {
      normal: 'normal',
      rectangular: 'either way, all alike',
      triangular: 'either way, the middle more often',
      arcsine: 'either way, swinging',
      t: 'from few values',
    } satisfies Record<Distribution, string>,
    shared: 'The same error is in every reading: it goes out of a match.',
    sharedMark: '∗',
    kinds: { A: 'these samples', B: 'known before' },
    total: (k: string) => `Together, × ${k} for about 95 %`,
    rounded: 'Shown above rounded up, never down.',
    frames: (first: string, last: string) => `Rests on inputs ${first} to ${last} of the record.`,
  },

  verdict: 'Match',
  verdicts: {
    below: 'BELOW',
    within: 'WITHIN',
    above: 'ABOVE',
    undecided: 'TOO NEAR TO TELL',
    'not-comparable': 'NOT COMPARED',
  } satisfies Record<Verdict['result'], string>,
  verdictOf: (reading: number) => `Reading ${reading}`,
  target: {
    reading: (id: number) => `Target: reading ${id}`,
    level: (level: string) => `Target: ${level}`,
    none: 'No target yet.',
    take: (id: number) => `Make reading ${id} the target`,
  },
  acceptedBy: (actor: string, reason: string) => `Accepted by ${actor}: ${reason}`,
  accept: 'Accept it all the same, because',
  acceptKeep: 'Accept',
  verdictBudget: 'Where this ± comes from',

  anyway: {
    open: 'Take a reading anyway',
    what: 'It is marked as taken although not ready, with your reason, and its ± may be large.',
    reason: 'Reason',
    take: 'Take it anyway',
  },
  jobs: {
    start: 'Start a job',
    label: 'What the job is called',
    begin: 'Start job',
    close: (label: string) => `Close the job ${label}`,
  },
  take: 'Take reading now',
  taking: 'Asking …',
  takeEarly: 'Refused until every gate is open.',
  takeLost: 'Not possible without a connection.',
  actor: 'Your name, for the record',
  actorFirst: 'Type your name first: it is kept with the reading.',
  actorKeep: 'Keep name',
  actorAs: (name: string) => `As ${name}`,
  actorChange: 'Change name',
  typed: (channel: string, unit: string) => `${channel} as another display shows it, ${unit}`,
  typedKeep: 'Keep value',
  machineNow: 'The machine is now',
  machineUnknown: 'not stated',
  noteAdd: 'Add a note to the record',
  note: 'Note',
  noteKeep: 'Keep note',
  accepted: {
    'take-reading': 'Reading taken.',
    note: 'Note kept.',
    'type-value': 'Value kept.',
    'state-machine': 'State of the machine kept.',
    'start-job': 'Job started.',
    'close-job': 'Job closed.',
    'set-target': 'Target set.',
    accept: 'Accepted, and on record.',
    'check-zero': 'Zero checked.',
  },
  refused: (words: string) => `Refused. ${words}`,
  refusals: {
    'stale-revision': 'Something changed meanwhile. Look again, then ask again.',
    role: 'This role may look, not act.',
    'not-ready': 'The level could not be read yet.',
    'job-open': 'A job is open already.',
    'no-job': 'No job is open.',
    'not-typed': 'This value is measured, not typed.',
    'out-of-range': 'That value cannot be. Look again.',
    'no-such-state': 'The bench does not know this state.',
    'no-tolerance': 'This bench has no tolerance for a match.',
    'no-such-reading': 'That reading is not among the newest of this job.',
    'nothing-to-accept': 'There is no verdict left open.',
    'not-calm': 'The sensor is not calm on the block yet.',
    'not-recording': 'The disk did not take the record.',
  } satisfies Record<Refusal, string>,
  unanswered: 'The connection went before an answer came. Look at the last reading before asking again.',
  job: (label: string, readings: number) => `${label} · ${readings} ${readings === 1 ? 'reading' : 'readings'}`,

  chart: {
    now: 'now',
    last: 'last heard',
    minutes: (n: number) => `−${n} min`,
    atReference: (referenceC: string) => `at ${referenceC}`,
    asMeasured: 'as measured',
    reading: 'reading',
    readySpell: 'ready',
    window: 'window',
    empty: (name: string) => `${name}: no values yet.`,
    summary: (name: string, minutes: number, low: string, high: string) =>
      `${name} over the last ${minutes} minutes, between ${low} and ${high}.`,
  },

  gates: 'What must be true before reading',
  gateOpen: 'Open',
  gateShut: 'Shut',
  gateNames: {
    fresh: 'New values coming in',
    record: 'Record kept',
    window: 'Temperature window',
    answers: 'Level sensor not stuck',
    air: 'Surface seen well',
    calm: 'Calm surface',
    settled: 'Level settled',
  } satisfies Record<GateId, string>,
  limit: (value: string) => `limit ${value}`,

  instruments: 'Instruments',
  linkStates: { opening: 'Opening', open: 'Connected', closed: 'Not connected' } satisfies Record<LinkState, string>,
  lastHeard: (span: string) => `Last heard ${span}`,
  neverHeard: 'Nothing heard yet',
  frames: (n: string) => (n === '1' ? '1 message' : `${n} messages`),
  connections: (n: number) => (n === 1 ? 'first connection' : `connection ${n}`),
  discarded: 'Thrown away:',
  times: (n: string, what: string) => `${n} × ${what}`,
  discardNothing: 'Nothing thrown away',
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
  learned: (slope: string, agrees: boolean | null) =>
    `This warm-up taught ${slope}.${agrees === false ? ' That is not what the bench file says: check fluid, vessel and sensor.' : ''}`,
  learnedNothing: 'This warm-up taught no slope; the one of the bench file is used.',
  circuitMoved: (state: string) => `The level moved as it does when the circuit changes: now ${state}.`,
  alarm: (source: string, why: string) => `${source}: ${why}`,
  fault: (source: string, code: string, detail: string) => `Fault in ${source}: ${detail === '' ? code : detail}`,

  cautionTitle: 'This page advises. It is no safety device.',
  caution:
    'Hot fluid burns, a running engine catches hands and clothes, and nobody goes under a raised machine that is not ' +
    'secured. Follow the maker’s current service information for this machine, your local codes and licensed practice: ' +
    'where they differ from this page, they are right.',
} as const;

/** What an accepted action is called, for the line under the button. */
export function acceptedWords(type: ActionBody['type']): string {
  return WORDS.accepted[type];
}

/** Words for a refusal known by its code only. */
export function refusalWords(code: Refusal | null): string {
  return code === null ? '' : WORDS.refusals[code];
}

/** Gate names come from a closed list; a newer bench may still send one that this page does not know. */
export function gateName(id: string): string {
  return (WORDS.gateNames as Record<string, string>)[id] ?? id;
}

/** Reason of a discard in words; the code itself where this page does not know it. */
export function discardWords(reason: string): string {
  return (WORDS.discardReasons as Record<string, string>)[reason] ?? reason;
}

/** Quality of a value in words; empty for a good one. */
export function qualityWords(quality: Quality, reason: string | null): string {
  if (quality === 'good') return '';
  const why = reason === null ? undefined : ((WORDS.qualityReasons as Record<string, string>)[reason] ?? reason);
  return why === undefined ? WORDS.quality[quality] : `${WORDS.quality[quality]}: ${why}`;
}
