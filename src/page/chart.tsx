/** Keeps a plot in step with its trace: at most one drawing per animation frame, none while nobody can see it. */
import { useEffect, useRef } from 'preact/hooks';
import { type Picture, Plot } from './plot.ts';
import { onSettings } from './settings.ts';

interface Props {
  readonly name: string;
  readonly picture: () => Picture;
  readonly subscribe: (listener: () => void) => () => void;
}

export function Chart({ name, picture, subscribe }: Props) {
  const frame = useRef<HTMLDivElement>(null);
  // The newest closure, without building the plot anew each time the page is drawn.
  const latest = useRef(picture);
  latest.current = picture;

  useEffect(() => {
    const into = frame.current;
    if (into === null) return;
    let plot = new Plot(into, latest.current(), into.clientWidth, into.clientHeight);
    let asked = 0;
    const draw = () => {
      asked = 0;
      const now = latest.current();
      plot.show(now);
      into.setAttribute('aria-label', now.summary);
    };
    const ask = () => {
      if (asked === 0) asked = requestAnimationFrame(draw);
    };
    const rebuild = () => {
      plot.remove();
      plot = new Plot(into, latest.current(), into.clientWidth, into.clientHeight);
    };
    const resized = new ResizeObserver(() => plot.size(into.clientWidth, into.clientHeight));
    const unsettled = onSettings(rebuild);
    const unsubscribe = subscribe(ask);
    resized.observe(into);
    return () => {
      unsubscribe();
      resized.disconnect();
      unsettled();
      cancelAnimationFrame(asked);
      plot.remove();
    };
  }, [subscribe]);

  return <div class="chart" role="img" data-chart={name} ref={frame} />;
}
