/** Goes on from a saved core state, where a record does not hold the run from its start. */
import type { InputOf } from '../core/events.ts';
import type { State } from '../core/state.ts';
import { ALGORITHM_VERSION, SCHEMA_VERSION } from '../core/version.ts';
import { fromStateBytes } from '../journal/codec.ts';
import type { Resume } from '../journal/sealed/format.ts';

/** @throws Error where this software has another shape of state, or other mathematics, than the one that saved it */
export function resumed({ state }: Resume, start: InputOf<'run-start'> | null): State {
  if (start?.schema !== SCHEMA_VERSION || start.algorithm !== ALGORITHM_VERSION)
    throw new Error(
      `it begins with a saved state of ${start?.software ?? 'unknown software'} (schema ${start?.schema}, algorithm ${start?.algorithm}); only a version with the same numbers can go on from there (this one: ${SCHEMA_VERSION}, ${ALGORITHM_VERSION})`,
    );
  return fromStateBytes(state) as State;
}
