import type { CalibrationKind } from '../core/calibration/certificate.ts';

/** As given on the command line; what is left out is asked for. Values in the unit of the channel: °C, mm, kPa, … */
export interface CalibrateOptions {
  readonly kind?: CalibrationKind;
  readonly points?: string;
  readonly degree?: number;
  readonly reference?: string;
  readonly referenceU?: number;
  readonly pressure?: number;
  readonly pressureU?: number;
  readonly altitude?: number;
  /** Of the fluid at an echo, °C. */
  readonly temperature?: number;
  readonly temperatureU?: number;
  /** Known length of successive echoes, or thickness of the block, mm. */
  readonly length?: number;
  readonly lengthU?: number;
  /** Speed of sound in the block, m/s. */
  readonly blockSound?: number;
  readonly blockSoundU?: number;
  readonly couplant?: string;
  readonly who?: string;
  readonly dueDays: number;
  /** How long a live value must rest, s, and how long it is waited for. */
  readonly calmS: number;
  readonly patienceS: number;
  /** Writes without asking. */
  readonly yes?: boolean;
}
