/** The bench that is dosed at: its file read, and a fluid in it. */
import { formatMistakes } from '../config/format.ts';
import { loadBench } from '../config/load.ts';
import type { BenchDescription } from '../core/description.ts';
import type { FluidDescription } from '../core/fluids/description.ts';
import { StillwellError } from '../errors.ts';
import type { DriverRegistry } from '../kit/driver.ts';
import { readBench } from './run.ts';

export function dosingBench(
  file: string,
  registry: DriverRegistry,
): { readonly bench: BenchDescription; readonly fluid: FluidDescription } {
  const text = readBench(file);
  const loaded = loadBench(text, file, registry);
  if (!loaded.ok) throw new StillwellError('config-invalid', file, formatMistakes(file, text, loaded.mistakes));
  const { bench } = loaded;
  if (bench.fluid === null)
    throw new StillwellError(
      'dosing-impossible',
      file,
      'it has no section "fluid", so that a litre cannot be brought from one temperature to another. To begin with:  fluid: { typical: transmission-oil }',
    );
  return { bench, fluid: bench.fluid };
}
