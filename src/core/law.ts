import type { LawDescription } from './description.ts';

/** A raw signal as a quantity in the inside unit, with the derivative ∂value/∂signal. */
export function applyLaw(law: LawDescription, signal: number): { value: number; derivative: number } {
  switch (law.kind) {
    case 'linear':
      return { value: law.gain * signal + law.offset, derivative: law.gain };
  }
}
