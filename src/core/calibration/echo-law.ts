/** The echo inside a law: what a calibration of its time needs to know. */
import type { EchoFromAboveDescription, EchoFromBelowDescription } from '../laws/echo.ts';
import type { LawDescription } from '../laws/law-of.ts';

export interface EchoLaw {
  readonly echo: EchoFromBelowDescription | EchoFromAboveDescription;
  /** From the signal to the time of the echo, µs; null where the signal is that time. */
  readonly time: LawDescription | null;
}

/** Null for a law that times no echo. */
export function echoLawOf(law: LawDescription): EchoLaw | null {
  switch (law.kind) {
    case 'echo-from-below':
    case 'echo-from-above':
      return { echo: law, time: null };
    case 'board-millimetres': {
      const usPerMm = 2000 / law.assumedMPerS;
      const validSignal = { low: law.offsetMm, high: law.offsetMm + 1e6 / usPerMm };
      const offset = -law.offsetMm * usPerMm;
      return {
        echo: law.echo,
        time: { kind: 'linear', gain: usPerMm, offset, signalUnit: 'mm', unit: 'us', validSignal },
      };
    }
    case 'chain': {
      const inner = echoLawOf(law.second);
      if (inner === null) return null;
      const time: LawDescription =
        inner.time === null ? law.first : { kind: 'chain', first: law.first, second: inner.time };
      return { echo: inner.echo, time };
    }
    default:
      return null;
  }
}
