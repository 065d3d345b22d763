/**
 * What may lie behind a misclosure. Slips of the hand are tried one entry at a time: a slip that would close the balance
 * is named with what was probably meant. Which slips people make is common practice, no source.
 */
import { plain } from '../uncertainty/rounding.ts';
import { type Gauge, litresPerUnit, unitOf } from './amounts.ts';
import type { Change, Entry, Levels } from './balance.ts';

export interface Cause {
  readonly kind: 'typing' | 'leak' | 'uncounted' | 'echo';
  /** Entry that it is about; null for none. */
  readonly entry: string | null;
  readonly words: string;
}

export interface Misclosed {
  readonly misclosureL: number;
  readonly U95L: number;
  readonly entries: readonly Entry[];
  readonly change: Change;
  readonly levels: Levels;
  readonly levelC: number;
}

/** More guesses than these help nobody. */
const MOST_TYPING = 3;

export function causesOf(found: Misclosed): Cause[] {
  const { misclosureL, U95L, change, levels } = found;
  const typing = found.entries
    .flatMap((entry) => slips(entry).map((slip) => ({ entry, ...slip, leaves: left(found, entry, slip) })))
    .filter(({ leaves }) => Math.abs(leaves) <= U95L)
    .sort((a, b) => Math.abs(a.leaves) - Math.abs(b.leaves))
    .slice(0, MOST_TYPING)
    .map(({ entry, words }): Cause => ({ kind: 'typing', entry: entry.id, words: `A slip at ${entry.id}? ${words}` }));
  const missing = `${plain(Math.abs(misclosureL), 2)} L`;
  const byFluid: Cause =
    misclosureL > 0
      ? { kind: 'leak', entry: null, words: `A leak, or a spill that was not counted: ${missing} are missing.` }
      : {
          kind: 'uncounted',
          entry: null,
          words: `${missing} more than counted: an addition not entered, or fluid that came back from cooler and passages.`,
        };
  if (!(change.perMm > 0)) return [...typing, byFluid];
  // The level that would close it.
  const dueMm = levels.afterMm + misclosureL / change.perMm;
  const slackMm = U95L / change.perMm;
  const twice = [2, 0.5].some((times) => Math.abs(times * dueMm - levels.afterMm) <= slackMm);
  const echo: Cause = {
    kind: 'echo',
    entry: null,
    words: `A false echo: ${plain(dueMm, 1)} mm would close it, and ${plain(levels.afterMm, 1)} mm was read${
      twice ? ', just twice or half of it, as a second echo shows' : ''
    }. Read again.`,
  };
  return twice ? [echo, ...typing, byFluid] : [...typing, byFluid, echo];
}

interface Slip {
  readonly amount: number;
  readonly gauge: Gauge;
  /** 1 as entered, −1 turned round. */
  readonly turned: number;
  readonly words: string;
}

function slips({ amount, kind, measure }: Entry): Slip[] {
  const { gauge } = measure;
  const unit = unitOf(gauge);
  const as = { gauge, turned: 1 };
  const told = (one: number) => `${Number(one.toPrecision(6))} ${unit}`;
  const other: Gauge = gauge.kind === 'volume' ? { kind: 'mass', airDensityKgPerM3: 1.2 } : { kind: 'volume' };
  return [
    ...swapped(amount).map((meant) => ({
      ...as,
      amount: meant,
      words: `Digits swapped: ${told(meant)} would close it.`,
    })),
    ...[amount * 10, amount / 10].map((meant) => ({
      ...{ ...as, amount: meant },
      words: `The decimal point: ${told(meant)} would close it.`,
    })),
    { ...as, amount: 0, words: `${told(amount)} was entered, but did not happen, or was entered twice.` },
    { ...as, amount: 2 * amount, words: `${told(amount)} happened twice, but was entered once.` },
    ...(kind === 'in' || kind === 'out'
      ? [{ ...as, amount, turned: -1, words: `${told(amount)} went ${kind === 'in' ? 'out' : 'in'}, not ${kind}.` }]
      : []),
    {
      amount,
      gauge: other,
      turned: 1,
      words: `${Number(amount.toPrecision(6))} ${unitOf(other)} was meant, not ${unit}.`,
    },
  ];
}

/** Each two neighbouring digits of the number as typed, swapped. */
function swapped(amount: number): number[] {
  const text = String(amount);
  const found = new Set<number>();
  for (let i = 0; i < text.length; i++) {
    // Over the decimal point as well: 1.5 for 5.1.
    const j = text[i + 1] === '.' ? i + 2 : i + 1;
    const [a, b] = [text[i], text[j]];
    if (a === undefined || b === undefined || a === b || !/^\d$/.test(a) || !/^\d$/.test(b)) continue;
    found.add(Number(text.slice(0, i) + b + text.slice(i + 1, j) + a + text.slice(j + 1)));
  }
  return [...found];
}

/** Misclosure if it had been so, L. */
function left({ misclosureL, levelC }: Misclosed, entry: Entry, slip: Slip): number {
  const sign = entry.kind === 'in' ? 1 : -1;
  const litres = (gauge: Gauge, amount: number) => amount * litresPerUnit(entry.fluid, gauge, entry.tC, levelC).value;
  return (
    misclosureL -
    sign * litres(entry.measure.gauge, entry.amount) +
    sign * slip.turned * litres(slip.gauge, slip.amount)
  );
}
