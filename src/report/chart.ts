/** A chart as SVG: level above temperature on one axis of time. */

import { plain } from '../core/uncertainty/rounding.ts';
import type { EnvelopeBucket } from '../journal/contract.ts';
import { type Html, html } from './html.ts';
import type { Chart, Series } from './record.ts';
import { localText, type Zone } from './times.ts';

const WIDTH = 720;
const LEFT = 52;
const RIGHT = 10;
const TOP = 18;
const PANEL = { level: 128, temperature: 74 } as const;
const BETWEEN = 24;
/** Of the words at the ticks: the last one must not run out of the picture. */
const HALF_DIGIT = 3;
const HEIGHT = TOP + PANEL.level + BETWEEN + PANEL.temperature + 22;

interface Panel {
  readonly top: number;
  readonly height: number;
  readonly low: number;
  readonly high: number;
  readonly step: number;
}

/** @param named whether marks carry the number of their reading. */
export function chartSvg(chart: Chart, zone: Zone, named: boolean): Html {
  const { fromUtcMs, toUtcMs, level, temperature, window, marks } = chart;
  const x = (utcMs: number) => LEFT + ((utcMs - fromUtcMs) / (toUtcMs - fromUtcMs)) * (WIDTH - LEFT - RIGHT);
  const upper = panel(level.buckets, TOP, PANEL.level, 0.5);
  const lower = panel(temperature.buckets, TOP + PANEL.level + BETWEEN, PANEL.temperature, 1);
  const ticks = timeTicks(fromUtcMs, toUtcMs, zone);
  const bottom = lower.top + lower.height;
  const seen = marks.filter((mark) => mark.toUtcMs >= fromUtcMs && mark.fromUtcMs <= toUtcMs);
  const label = `Level and temperature as measured, ${localText(fromUtcMs, zone)} to ${localText(toUtcMs, zone)} ${zone.name}`;
  return html`<svg viewBox="0 0 ${WIDTH} ${HEIGHT}" role="img" aria-label="${label}">
${seen.map(({ fromUtcMs: from, toUtcMs: to }) => {
  const left = clamp(x(from), LEFT, WIDTH - RIGHT);
  const width = Math.max(1.5, clamp(x(to), LEFT, WIDTH - RIGHT) - left);
  return html`<rect class="read" x="${at(left)}" y="${TOP}" width="${at(width)}" height="${bottom - TOP}"/>`;
})}
${windowBand(window, lower)}
${grid(
  upper,
  ticks.map(({ utcMs }) => x(utcMs)),
)}${grid(
  lower,
  ticks.map(({ utcMs }) => x(utcMs)),
)}
<text class="title" x="${LEFT}" y="${TOP - 6}">Level as measured, mm (${level.channel})</text>
<text class="title" x="${LEFT}" y="${lower.top - 6}">Temperature, °C (${temperature.channel})</text>
${trace(level, upper, x, 'level')}${trace(temperature, lower, x, 'temperature')}
${seen.map((mark) => meanLine(mark, upper, x))}
${
  named
    ? numbers(
        seen.map((mark) => ({ words: String(mark.reading), x: x((mark.fromUtcMs + mark.toUtcMs) / 2) })),
        upper,
      )
    : null
}
${ticks.map(({ utcMs, words }) => html`<text class="tick" text-anchor="middle" x="${at(Math.min(x(utcMs), WIDTH - HALF_DIGIT * words.length))}" y="${bottom + 14}">${words}</text>`)}
</svg>`;
}

/** Where two would stand on each other, the later one is left out. */
function numbers(marks: readonly { readonly words: string; readonly x: number }[], { top }: Panel): Html[] {
  let last = Number.NEGATIVE_INFINITY;
  return marks.flatMap(({ words, x }) => {
    if (x - last < 7 * (words.length + 1)) return [];
    last = x;
    return [html`<text class="number" text-anchor="middle" x="${at(x)}" y="${top + 12}">${words}</text>`];
  });
}

function meanLine(mark: Chart['marks'][number], { top, height, low, high }: Panel, x: (utcMs: number) => number) {
  if (mark.rawLevelMm < low || mark.rawLevelMm > high) return null;
  const y = at(top + height - ((mark.rawLevelMm - low) / (high - low)) * height);
  const [from, to] = [clamp(x(mark.fromUtcMs), LEFT, WIDTH), clamp(x(mark.toUtcMs), LEFT, WIDTH - RIGHT)];
  return html`<line class="mean" x1="${at(from)}" x2="${at(Math.max(to, from + 2))}" y1="${y}" y2="${y}"/>`;
}

/** @param least the smallest span shown: a calm line must not look like a storm. */
function panel(buckets: readonly EnvelopeBucket[], top: number, height: number, least: number): Panel {
  const bounds = buckets.reduce(([min, max], one) => [Math.min(min, one.min), Math.max(max, one.max)] as const, [
    Number.POSITIVE_INFINITY,
    Number.NEGATIVE_INFINITY,
  ] as readonly [number, number]);
  const [min, max] = buckets.length === 0 ? [0, 1] : bounds;
  const spare = Math.max((least - (max - min)) / 2, (max - min) * 0.04);
  const step = niceStep((max - min + 2 * spare) / (height / 26));
  return {
    top,
    height,
    low: Math.floor((min - spare) / step) * step,
    high: Math.ceil((max + spare) / step) * step,
    step,
  };
}

/** 1, 2 or 5 times a power of ten, at least `wanted`. */
export function niceStep(wanted: number): number {
  const power = 10 ** Math.floor(Math.log10(wanted));
  return power * ([1, 2, 5, 10].find((factor) => factor * power >= wanted * 0.999999) ?? 10);
}

function grid({ top, height, low, high, step }: Panel, times: readonly number[]): Html {
  const count = Math.round((high - low) / step);
  const decimals = Math.max(0, -Math.floor(Math.log10(step) + 1e-9));
  const lines = Array.from({ length: count + 1 }, (_, i) => {
    const y = at(top + height - (i / count) * height);
    return html`<line class="grid" x1="${LEFT}" x2="${WIDTH - RIGHT}" y1="${y}" y2="${y}"/>
<text class="tick" text-anchor="end" x="${LEFT - 6}" y="${at(Number(y) + 3.5)}">${plain(low + i * step, decimals)}</text>`;
  });
  return html`${times.map((x) => html`<line class="grid" x1="${at(x)}" x2="${at(x)}" y1="${top}" y2="${top + height}"/>`)}${lines}`;
}

function windowBand({ lowC, highC }: Chart['window'], { top, height, low, high }: Panel): Html | null {
  const y = (value: number) => top + height - ((clamp(value, low, high) - low) / (high - low)) * height;
  if (highC <= low || lowC >= high) return null;
  return html`<rect class="window" x="${LEFT}" y="${at(y(highC))}" width="${WIDTH - LEFT - RIGHT}" height="${at(y(lowC) - y(highC))}"/>`;
}

/** From least to greatest in each bucket, joined where nothing is missing in between. */
function trace(
  { buckets, gapMs }: Series,
  { top, height, low, high }: Panel,
  x: (utcMs: number) => number,
  name: string,
): Html {
  const y = (value: number) => at(top + height - ((value - low) / (high - low)) * height);
  let path = '';
  let before: EnvelopeBucket | null = null;
  for (const bucket of buckets) {
    const joined = before !== null && bucket.utcMs - before.utcMs <= gapMs;
    // The end that is nearer to where the line stands comes first.
    const rising = before === null || bucket.min + bucket.max >= before.min + before.max;
    const [first, second] = rising ? [bucket.min, bucket.max] : [bucket.max, bucket.min];
    const at0 = at(x(bucket.utcMs));
    path += `${joined ? 'L' : 'M'}${at0} ${y(first)}${first === second ? (joined ? '' : `h.01`) : `L${at0} ${y(second)}`}`;
    before = bucket;
  }
  return html`<path class="${name}" d="${path}"/>`;
}

const STEPS_S = [1, 2, 5, 10, 15, 30, 60, 120, 300, 600, 900, 1800, 3600, 7200, 10_800, 21_600, 43_200, 86_400];

/** On round local times, about six of them. */
function timeTicks(
  fromUtcMs: number,
  toUtcMs: number,
  zone: Zone,
): { readonly utcMs: number; readonly words: string }[] {
  const spanS = (toUtcMs - fromUtcMs) / 1000;
  const stepS = STEPS_S.find((step) => spanS / step <= 7) ?? 86_400 * Math.ceil(spanS / 86_400 / 7);
  // Local clocks differ from UTC by whole minutes: round local times are found from the local text itself.
  const offsetMs = Date.parse(`${localText(fromUtcMs, zone).replace(' ', 'T')}Z`) - Math.floor(fromUtcMs / 1000) * 1000;
  const stepMs = stepS * 1000;
  const first = Math.ceil((fromUtcMs + offsetMs) / stepMs) * stepMs - offsetMs;
  const ticks = [];
  for (let utcMs = first; utcMs <= toUtcMs; utcMs += stepMs) {
    const text = localText(utcMs, zone);
    ticks.push({ utcMs, words: stepS < 60 ? text.slice(11) : stepS < 86_400 ? text.slice(11, 16) : text.slice(5, 10) });
  }
  return ticks;
}

function clamp(value: number, low: number, high: number): number {
  return Math.min(high, Math.max(low, value));
}

function at(value: number): string {
  return String(Math.round(value * 10) / 10);
}
