/** What the person at the bench is told: what to do at each kind of point, and what can hurt. */
import type { CalibrationKind } from '../core/calibration/certificate.ts';

interface KindWords {
  readonly title: string;
  readonly how: string;
  readonly caution: string;
}

const DEFER = 'The maker’s service information, your local codes and licensed practice come before these lines.';
const HOT =
  'Hot fluid burns: gloves and goggles, nothing that can spill or tip, lead the cable so that nobody pulls it.';

export const KIND_WORDS: Readonly<Record<CalibrationKind, KindWords>> = {
  'ice-point': {
    title: 'Ice point',
    how: 'Crush clean ice, fill a vacuum flask with it, add just so much clean cold water that the gaps are full. Put the probe into the middle, deeper than ten times its thickness, not on the wall or floor. Stir now and then; pour off water as the ice melts.',
    caution: 'Ice and glass cut: crush the ice in a cloth. Keep connectors and mains leads dry.',
  },
  'boiling-point': {
    title: 'Boiling point',
    how: 'Boil clean water in an open vessel until it rolls all over. Hold the probe in the water, clear of wall and floor, deeper than ten times its thickness.',
    caution:
      'Boiling water and its steam scald: fix the probe with a stand, keep the face and hands out of the steam, let nobody pull the cable, never heat a closed vessel. Wait until it has cooled before you clear it away.',
  },
  'two-point': {
    title: 'Two points',
    how: 'Two known values, as far apart as the values that will be measured. The line between them says nothing of what lies outside.',
    caution: HOT,
  },
  'n-point': {
    title: 'Several points',
    how: 'Known values spread over what will be measured, each taken twice or more: repeats tell whether the curve fits. Go up, then down again.',
    caution: HOT,
  },
  'echo-lengths': {
    title: 'Speed of sound and dead time from echoes over known lengths',
    how: 'In the fluid itself, at the temperature of use: a reflector at two or more known lengths from the face of the sensor, as far apart as there is room, flat towards it. Use the couplant of the work, no bubble in it.',
    caution: `${HOT} Not in a running machine: switch it off and secure it first.`,
  },
  'successive-echoes': {
    title: 'Speed of sound and dead time from successive echoes',
    how: 'One known length in the fluid; the times of its first, second, third echo, as an oscilloscope or the board shows them.',
    caution: `${HOT} Not in a running machine: switch it off and secure it first.`,
  },
  block: {
    title: 'Zero on a solid block',
    how: 'A block of known thickness and speed of sound, its faces flat and parallel, at the temperature of the bench, with the couplant of the work. This gives the dead time only: it says nothing about the fluid.',
    caution: 'Set the block down so that it cannot fall on a foot.',
  },
  refit: {
    title: 'Fitting the sensor anew',
    how: 'With the fluid at rest at one level: take the sensor off and fit it again as at work, couplant and all, and take the value. Five times or more.',
    caution: `${HOT} The engine is off and cannot start while hands are at the sensor.`,
  },
};

export function introduction(kind: CalibrationKind): string {
  const { title, how, caution } = KIND_WORDS[kind];
  return `${title}\n  ${how}\n  Caution: ${caution}\n  ${DEFER}\n\n`;
}
