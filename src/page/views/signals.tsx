/** The signals: charts, and every condition of readiness with its figures. */
import type { ViewProps } from '../app.tsx';
import { Charts } from '../charts.tsx';
import { GatesPanel } from '../gates-panel.tsx';

export function SignalsView({ desk }: ViewProps) {
  const { view } = desk;
  return (
    <div class="signals">
      <Charts desk={desk} view={view} />
      <GatesPanel view={view} />
    </div>
  );
}
