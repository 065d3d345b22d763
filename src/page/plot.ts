/**
 * One chart on a canvas: what to draw is handed in as plain data, colours come from the style sheet. The band of the
 * window lies below the line, ready spells stand as a rail on the time axis, readings are diamonds with their value.
 */
import uPlot from 'uplot';
import { fixed } from './format.ts';
import type { Columns } from './trace.ts';

export interface Picture {
  /** The chart in words, for who cannot see it. */
  readonly summary: string;
  readonly columns: Columns;
  readonly nowS: number;
  readonly spanS: number;
  readonly range: readonly [number, number];
  readonly band: { readonly low: number; readonly high: number; readonly words: string } | null;
  readonly spells: readonly { readonly fromS: number; readonly toS: number }[];
  readonly spellWords: string;
  readonly marks: readonly { readonly tS: number; readonly value: number; readonly words: string }[];
  readonly timeWords: (minutesAgo: number) => string;
}

interface Ink {
  readonly text: string;
  readonly rule: string;
  readonly line: string;
  readonly fill: string;
  readonly beside: string;
  readonly band: string;
  readonly bandEdge: string;
  readonly ready: string;
  readonly paper: string;
}

export const FONT = '13px "Liberation Sans", system-ui, sans-serif';
const BOLD = `bold ${FONT}`;
const RAIL = 6;

export class Plot {
  readonly #uplot: uPlot;
  #picture: Picture;

  constructor(into: HTMLElement, picture: Picture, width: number, height: number) {
    this.#picture = picture;
    const ink = inkOf(into);
    this.#uplot = new uPlot(this.#options(ink, width, height), picture.columns as uPlot.AlignedData, into);
  }

  show(picture: Picture): void {
    this.#picture = picture;
    this.#uplot.setData(picture.columns as uPlot.AlignedData);
  }

  size(width: number, height: number): void {
    this.#uplot.setSize({ width, height });
  }

  remove(): void {
    this.#uplot.destroy();
  }

  #options(ink: Ink, width: number, height: number): uPlot.Options {
    const value: uPlot.Series = { stroke: ink.line, width: 1.5, points: { show: false } };
    return {
      width,
      height,
      padding: [10, 30, 0, 0],
      legend: { show: false },
      cursor: { show: false },
      scales: {
        x: { time: false, range: () => [this.#picture.nowS - this.#picture.spanS, this.#picture.nowS] },
        y: { range: () => [...this.#picture.range] as [number, number] },
      },
      axes: [
        {
          stroke: ink.text,
          font: FONT,
          size: 28,
          gap: 8,
          grid: { show: false },
          ticks: { show: false },
          splits: () => this.#timeSplits(),
          values: (_, splits) => splits.map((s) => this.#picture.timeWords(Math.round((this.#picture.nowS - s) / 60))),
        },
        {
          stroke: ink.text,
          font: FONT,
          size: 46,
          gap: 6,
          space: 30,
          grid: { stroke: ink.rule, width: 1 },
          ticks: { show: false },
          values: (_, splits) => axisNumbers(splits),
        },
      ],
      series: [{}, value, value, { stroke: ink.beside, width: 3, points: { show: false } }],
      bands: [{ series: [2, 1], fill: ink.fill }],
      hooks: {
        drawClear: [(u) => this.#below(u, ink)],
        draw: [(u) => this.#above(u, ink)],
      },
    };
  }

  /** Whole minutes ago, "now" at the right edge. */
  #timeSplits(): number[] {
    const { nowS, spanS } = this.#picture;
    const every = spanS > 300 ? 120 : spanS > 120 ? 60 : 30;
    const splits: number[] = [];
    for (let s = Math.floor(spanS / 60) * 60; s >= 0; s -= Math.max(60, every)) splits.push(nowS - s);
    return splits;
  }

  #below(u: uPlot, ink: Ink): void {
    const { band, spells } = this.#picture;
    const { ctx, bbox } = u;
    const ratio = devicePixelRatio;
    clipped(u, () => {
      if (band !== null) {
        const top = u.valToPos(band.high, 'y', true);
        const bottom = u.valToPos(band.low, 'y', true);
        ctx.fillStyle = ink.band;
        ctx.fillRect(bbox.left, top, bbox.width, bottom - top);
        ctx.strokeStyle = ink.bandEdge;
        ctx.lineWidth = ratio;
        ctx.setLineDash([6 * ratio, 4 * ratio]);
        for (const y of [top, bottom]) stroke(ctx, bbox.left, y, bbox.left + bbox.width, y);
        ctx.setLineDash([]);
        ctx.fillStyle = ink.text;
        ctx.font = scaled(FONT, ratio);
        ctx.textAlign = 'left';
        ctx.textBaseline = 'top';
        const thin = bottom - top < 22 * ratio;
        ctx.fillText(
          band.words,
          bbox.left + 6 * ratio,
          thin ? bottom + 4 * ratio : Math.max(top, bbox.top) + 5 * ratio,
        );
      }
      ctx.fillStyle = ink.ready;
      for (const { fromS, toS } of spells) {
        const left = u.valToPos(fromS, 'x', true);
        const right = Math.max(left + 2 * ratio, u.valToPos(toS, 'x', true));
        ctx.globalAlpha = 0.12;
        ctx.fillRect(left, bbox.top, right - left, bbox.height);
        ctx.globalAlpha = 1;
        ctx.fillRect(left, bbox.top + bbox.height - RAIL * ratio, right - left, RAIL * ratio);
      }
    });
  }

  #above(u: uPlot, ink: Ink): void {
    const { marks, spells, spellWords } = this.#picture;
    const { ctx, bbox } = u;
    const ratio = devicePixelRatio;
    clipped(u, () => {
      for (const { fromS } of spells.slice(-1)) {
        const left = Math.max(bbox.left, u.valToPos(fromS, 'x', true));
        ctx.font = scaled(BOLD, ratio);
        if (bbox.left + bbox.width - left < ctx.measureText(spellWords).width + 8 * ratio) continue;
        ctx.fillStyle = ink.ready;
        ctx.textAlign = 'left';
        ctx.textBaseline = 'bottom';
        ctx.fillText(spellWords, left + 4 * ratio, bbox.top + bbox.height - (RAIL + 3) * ratio);
      }
      for (const mark of marks) this.#diamond(u, ink, mark, ratio);
    });
  }

  #diamond(u: uPlot, ink: Ink, mark: Picture['marks'][number], ratio: number): void {
    const { ctx, bbox } = u;
    const x = u.valToPos(mark.tS, 'x', true);
    if (x < bbox.left) return;
    const y = u.valToPos(mark.value, 'y', true);
    const r = 6 * ratio;
    ctx.beginPath();
    ctx.moveTo(x, y - r);
    ctx.lineTo(x + r, y);
    ctx.lineTo(x, y + r);
    ctx.lineTo(x - r, y);
    ctx.closePath();
    ctx.fillStyle = ink.paper;
    ctx.fill();
    ctx.strokeStyle = ink.text;
    ctx.lineWidth = 2 * ratio;
    ctx.stroke();
    if (mark.words === '') return;
    ctx.font = scaled(BOLD, ratio);
    ctx.textBaseline = 'bottom';
    ctx.textAlign = x > bbox.left + bbox.width * 0.8 ? 'right' : 'left';
    ctx.strokeStyle = ink.paper;
    ctx.lineWidth = 4 * ratio;
    const textY = y - r - 2 * ratio > bbox.top + 14 * ratio ? y - r - 2 * ratio : y + r + 17 * ratio;
    ctx.strokeText(mark.words, x, textY);
    ctx.fillStyle = ink.text;
    ctx.fillText(mark.words, x, textY);
  }
}

/** Colours by the names of the style sheet, so that light, dark and forced colours hold for the canvas too. */
export function inkOf(element: HTMLElement): Ink {
  const style = getComputedStyle(element);
  const colour = (name: string) => style.getPropertyValue(`--${name}`).trim();
  return {
    text: colour('ink-2'),
    rule: colour('rule-faint'),
    line: colour('line'),
    fill: colour('line-fill'),
    beside: colour('line-beside'),
    band: colour('band'),
    bandEdge: colour('band-edge'),
    ready: colour('ready'),
    paper: colour('paper'),
  };
}

function clipped(u: uPlot, draw: () => void): void {
  const { ctx, bbox } = u;
  ctx.save();
  ctx.beginPath();
  ctx.rect(bbox.left, bbox.top, bbox.width, bbox.height);
  ctx.clip();
  draw();
  ctx.restore();
}

function stroke(ctx: CanvasRenderingContext2D, x0: number, y0: number, x1: number, y1: number): void {
  ctx.beginPath();
  ctx.moveTo(x0, y0);
  ctx.lineTo(x1, y1);
  ctx.stroke();
}

function scaled(font: string, ratio: number): string {
  return font.replace('13px', `${13 * ratio}px`);
}

/** As many decimals as the steps of the axis need. */
export function axisNumbers(splits: readonly number[]): string[] {
  const step = Math.abs((splits[1] ?? 1) - (splits[0] ?? 0)) || 1;
  const decimals = Math.min(4, Math.max(0, Math.ceil(-Math.log10(step) - 1e-9)));
  return splits.map((value) => fixed(value, decimals));
}
