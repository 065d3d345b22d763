/** How a job stands, in plain words: what is asked now, why it does not go on, what went in and out, and what to type. */
import { plain } from '../core/uncertainty/rounding.ts';
import type { Snapshot } from '../feed/messages.ts';
import { quantityTold, short } from './job-values.ts';

type Progress = NonNullable<Snapshot['progress']>;
type Now = NonNullable<Progress['now']>;

/** Everything of it. */
export function jobWords(seen: Snapshot): string[] {
  const { job, progress } = seen;
  if (job === null)
    return [
      'No job is open.',
      ...benchWords(seen),
      `Begin one: stillwell job start --procedure NAME --label WORDS`,
      ...offered(seen),
    ];
  const title = job.label === '' ? `Job ${job.id}` : `Job ${job.id}: ${job.label}`;
  if (progress === null)
    return [
      `${title}, without a procedure.`,
      ...benchWords(seen),
      ...verdictWords(seen),
      'Next: stillwell job read, or stillwell job close',
    ];
  const machine = [job.machineType, ...Object.values(job.fields ?? {})].filter((one) => one != null && one !== '');
  return [
    title,
    `${progress.title}, version ${progress.version}${machine.length === 0 ? '' : `; ${machine.join(', ')}`}`,
    ...nowWords(seen),
    ...accountWords(progress),
    ...verdictWords(seen),
    ...benchWords(seen),
  ];
}

/** The step that the job is at, and what to type for it. */
export function nowWords(seen: Snapshot): string[] {
  const { progress, job } = seen;
  if (job === null) return ['No job is open.'];
  if (progress === null) return [];
  const { now, steps, paused } = progress;
  if (paused) return ['The job is paused. Next: stillwell job resume'];
  if (now === null) return ['All steps are done. Next: stillwell job close'];
  const at = steps.findIndex(({ id }) => id === now.step) + 1;
  const again = now.round > 1 ? `, for the ${nth(now.round)} time` : '';
  return [
    `Step ${at} of ${steps.length}: ${now.title}${again}`,
    ...now.cautions.map((one) => `  ! ${one}`),
    ...now.holds.map((hold) => `  ! ${holdWords(seen, hold)}`),
    ...(now.words === null ? [] : [`  ${now.words.trim()}`]),
    ...askedWords(now, progress).map((one) => `  ${one}`),
    ...now.blocked.map(({ words }) => `  Not yet: ${words}`),
    ...waitWords(seen, now).map((one) => `  ${one}`),
    `  Next: ${hint(now)}`,
  ];
}

function holdWords({ bench }: Snapshot, { channel, quantity, side, limit }: Now['holds'][number]): string {
  const watched = bench.channels.some((one) => one.id === channel && one.quantity === quantity);
  return `Keep ${channel} ${side} ${quantityTold(limit, quantity)}${watched ? ', the bench watches it' : ': watch the gauge, no channel does'}.`;
}

function askedWords(now: Now, { refill, filledL, measures }: Progress): string[] {
  switch (now.kind) {
    case 'confirm':
      return now.ticks.map(({ words, done }, i) => `[${done ? 'x' : ' '}] ${i + 1}. ${words}`);
    case 'enter':
      return now.asks.map((ask) => {
        const value =
          ask.entered === null
            ? ''
            : ` = ${ask.of === 'quantity' ? quantityTold(Number(ask.entered), ask.quantity) : ask.entered}`;
        const form =
          ask.of === 'quantity'
            ? `, ${quantityTold(ask.low, ask.quantity)} to ${quantityTold(ask.high, ask.quantity)}`
            : ask.of === 'choice'
              ? `: ${ask.choices.join(' / ')}`
              : ask.sameAs === null
                ? ''
                : `, the same as ${ask.sameAs}`;
        return `${ask.name}${value === '' ? '' : value}  (${ask.words}${form}${ask.required ? '' : '; may stay empty'})`;
      });
    case 'ask':
      return now.answers.map(({ id, words }) => `${id}: ${words}`);
    case 'dose': {
      const { advice, way } = now;
      const plan =
        way === 'in' && refill !== null
          ? [
              `The refill plan: ${plain(refill.litres, 2)} ± ${plain(2 * refill.uLitres, 2)} L at ${short(refill.pourC)} °C; ${plain(filledL, 2)} L are in.`,
            ]
          : [];
      const said =
        advice === null
          ? []
          : [advice.words.todo, advice.words.why, ...(advice.words.expected === null ? [] : [advice.words.expected])];
      const stop =
        advice?.stopMarkMm == null ? [] : [`Shut the tap when the level shows ${plain(advice.stopMarkMm, 1)} mm.`];
      const by = now.measures.length === 0 ? measures : now.measures;
      return [
        ...plan,
        ...said,
        ...stop,
        `Measured by: ${by.map(({ id, words, unit }) => `${id} (${words}, ${unit})`).join('; ')}.`,
      ];
    }
    default:
      return [];
  }
}

/** What a step that goes on by itself still waits for. */
function waitWords({ live }: Snapshot, now: Now): string[] {
  if (now.kind !== 'wait' && now.kind !== 'read') return [];
  const awaited = live.gates.filter(({ id }) => now.gates.length === 0 || now.gates.includes(id));
  return awaited
    .filter(({ open }) => !open)
    .map(({ words, toGo }) => `Waits: ${words}${toGo === null ? '' : ` About ${spanWords(toGo.s)} to go.`}`);
}

export function hint({ kind, way, several, step, asks, measures, advice, ticks, answers }: Now): string {
  switch (kind) {
    case 'confirm':
      return ticks.length === 0 ? 'stillwell job done' : 'stillwell job tick all, or the numbers';
    case 'enter': {
      const open =
        asks.find(({ entered, required }) => entered === null && required) ??
        asks.find(({ entered }) => entered === null);
      return open === undefined || asks.every(({ entered, required }) => entered !== null || !required)
        ? 'stillwell job done'
        : `stillwell job enter ${open.name} VALUE`;
    }
    case 'wait':
      return 'nothing to type: it goes on by itself';
    case 'read':
      return 'nothing to type: it is read as soon as it counts';
    case 'zero':
      return 'stillwell job zero MM, with the sensor on its block';
    case 'ask':
      return `stillwell job answer ${answers.map(({ id }) => id).join(' | ')}`;
    case 'decide':
      return `stillwell job accept REASON where the bench cannot settle it, or stillwell job skip REASON (${step})`;
    case 'dose': {
      const to = way === 'in' ? 'in' : way === 'out' ? 'out' : advice?.way === 'in' ? 'in' : 'out';
      const much = advice === null || advice.amount === 0 ? 'AMOUNT' : `"${short(advice.amount)} ${advice.unit}"`;
      const measure = advice?.measure ?? measures[0]?.id;
      return `stillwell job ${to} ${much}${measure === undefined ? '' : ` --with ${measure}`} --at "20 °C"${several ? ', then stillwell job done' : ''}`;
    }
  }
}

function accountWords({ amounts, balance, fresh, engine }: Progress): string[] {
  const sum = (kind: Progress['amounts'][number]['kind'], unit: 'L' | 'kg') =>
    amounts.filter((one) => one.kind === kind && one.unit === unit).reduce((all, { amount }) => all + amount, 0);
  const told = (['in', 'out', 'spilled', 'left'] as const).flatMap((kind) =>
    (['L', 'kg'] as const).flatMap((unit) =>
      sum(kind, unit) === 0 ? [] : [`${kind} ${plain(sum(kind, unit), 2)} ${unit}`],
    ),
  );
  return [
    ...(engine === null ? [] : [`The engine is ${engine}.`]),
    ...(told.length === 0 ? [] : [`So far: ${told.join(', ')}.`]),
    ...(balance === null
      ? []
      : [
          `Balance: counted ${plain(balance.countedL, 2)} L, by the level ${plain(balance.changeL, 2)} L, misclosure ${plain(balance.misclosureL, 2)} ± ${plain(balance.U95L, 2)} L: ${balance.closed ? 'closed' : 'not closed'}.`,
          ...(balance.closed ? [] : balance.causes.map(({ words }) => `  ${words}`)),
        ]),
    ...(fresh === null ? [] : [`Fresh fluid: ${plain(100 * fresh.share, 0)} %.`]),
  ];
}

function verdictWords({ verdict, lastReading, job }: Snapshot): string[] {
  const reading = lastReading?.reading;
  const mine = reading !== undefined && reading.job === job?.id;
  return [
    ...(mine
      ? [`Reading ${reading.id}: ${reading.words.level} at ${short(reading.referenceC)} °C, ${reading.words.sure}`]
      : []),
    ...(verdict === null ? [] : [`Verdict: ${verdict.words}`]),
  ];
}

function benchWords({ live, alarms }: Snapshot): string[] {
  const { ready, gates, levelMm, referenceC, temperatureC, recording } = live;
  const level = levelMm === null ? 'no level' : `level ${plain(levelMm, 1)} mm at ${short(referenceC)} °C`;
  const warm = temperatureC === null ? 'no temperature' : `fluid ${plain(temperatureC, 1)} °C`;
  const shut = gates.find(({ open }) => !open);
  return [
    `Bench: ${level}, ${warm}; ${ready ? 'ready to read' : (shut?.words ?? 'not ready')}`,
    ...(recording ? [] : ['Nothing is being recorded: the disk cannot follow.']),
    ...alarms
      .filter(({ state }) => state === 'unacknowledged' || state === 'acknowledged')
      .map(
        ({ alarm, source, why, message }) =>
          `ALARM ${alarm} of ${source}: ${why}${message === null ? '' : `. ${message}`}`,
      ),
  ];
}

function offered({ bench }: Snapshot): string[] {
  return bench.procedures.map(({ id, title, fields }) => {
    const needed = fields.filter(({ required }) => required).map((one) => ` --field ${one.id}=…`);
    return `  ${id}: ${title}${needed.join('')}`;
  });
}

function spanWords(s: number): string {
  return s < 90 ? `${Math.round(s)} s` : `${Math.round(s / 60)} min`;
}

function nth(n: number): string {
  return n === 2 ? '2nd' : n === 3 ? '3rd' : `${n}th`;
}
