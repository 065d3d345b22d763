/** The signals: the last minutes, any channel further back, and every condition of readiness with its figures. */
import type { ViewProps } from '../app.tsx';
import { Charts } from '../charts.tsx';
import { GatesPanel } from '../gates-panel.tsx';
import { HistoryPanel } from '../history-panel.tsx';

export function SignalsView({ desk }: ViewProps) {
  const { view } = desk;
  return (
    <div class="signals">
      <div class="drawn">
        <Charts desk={desk} view={view} />
        <HistoryPanel desk={desk} />
      </div>
      <GatesPanel view={view} />
    </div>
  );
}
