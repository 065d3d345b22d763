/** The past of one channel on a canvas: least and most of each moment as a band, with a cursor; a mouse draws a stretch. */
import uPlot from 'uplot';
import { axisNumbers, FONT, inkOf } from './plot.ts';
import type { Stretch } from './stretch.ts';
import type { Column } from './trace.ts';

export interface Past {
  readonly columns: [x: number[], low: Column, high: Column];
  readonly shown: Stretch;
  readonly timeWords: (utcS: number) => string;
}

export interface Hears {
  /** The moment under the cursor, seconds since 1970; null where it is over none. */
  pointed(utcS: number | null): void;
  drawn(stretch: Stretch): void;
}

export class HistoryPlot {
  readonly #uplot: uPlot;
  #past: Past;

  constructor(into: HTMLElement, past: Past, hears: Hears) {
    this.#past = past;
    const ink = inkOf(into);
    const edge: uPlot.Series = { stroke: ink.line, width: 1.5, points: { show: false } };
    const axis = { stroke: ink.text, font: FONT, ticks: { show: false } };
    this.#uplot = new uPlot(
      {
        width: into.clientWidth,
        height: into.clientHeight,
        padding: [10, 30, 0, 0],
        legend: { show: false },
        cursor: { points: { show: false }, drag: { x: true, y: false, setScale: false } },
        scales: { x: { time: false, range: () => [this.#past.shown.fromS, this.#past.shown.toS] } },
        axes: [
          {
            ...axis,
            size: 28,
            gap: 8,
            space: 90,
            grid: { show: false },
            values: (_, at) => at.map((s) => this.#past.timeWords(s)),
          },
          {
            ...axis,
            size: 52,
            gap: 6,
            space: 30,
            grid: { stroke: ink.rule, width: 1 },
            values: (_, at) => axisNumbers(at),
          },
        ],
        series: [{}, edge, edge],
        bands: [{ series: [2, 1], fill: ink.fill }],
        hooks: {
          setCursor: [(u) => hears.pointed(u.data[0][u.cursor.idx ?? -1] ?? null)],
          setSelect: [
            (u) => {
              const { left, width } = u.select;
              if (width < 4) return;
              hears.drawn({ fromS: u.posToVal(left, 'x'), toS: u.posToVal(left + width, 'x') });
              u.setSelect({ left: 0, top: 0, width: 0, height: 0 }, false);
            },
          ],
        },
      },
      past.columns as uPlot.AlignedData,
      into,
    );
  }

  show(past: Past): void {
    this.#past = past;
    this.#uplot.setData(past.columns as uPlot.AlignedData);
  }

  size(width: number, height: number): void {
    this.#uplot.setSize({ width, height });
  }

  remove(): void {
    this.#uplot.destroy();
  }
}
