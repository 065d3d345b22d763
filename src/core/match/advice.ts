/** The largest contributor to an uncertainty, and what would make it smaller. */
import { type Group, groupsOf } from '../uncertainty/combine.ts';
import type { BudgetLine } from '../uncertainty/line.ts';

/** By the beginning of the component's name. */
const REMEDIES: readonly (readonly [component: string, remedy: string])[] = [
  ['repeatability', 'watch the level for longer, or calm it'],
  ['drift', 'wait until the level moves more slowly'],
  ['level resolution', 'let the level sensor send finer steps'],
  ['level instrument', 'calibrate the level sensor'],
  ['temperature resolution', 'let the thermometer send finer steps'],
  ['temperature instrument', 'calibrate the thermometer, or read nearer to the reference temperature'],
  ['stem of the probe', 'let the probe dip in deeper, or wrap its stem'],
  ['lag of the probe', 'wait until the temperature moves more slowly, or measure the lag'],
  ['settling', 'watch the level for longer'],
  ['compensation slope', 'read nearer to the reference temperature, or know the slope better'],
  ['chart', 'read nearer to the reference temperature, or take the chart anew'],
  ['tilt of the vessel', 'let the vessel stand level, or measure how it leans'],
  ['temperature of the circuit', 'let it warm longer, or give the circuit a thermometer of its own'],
  ['volumes of the vessel', 'strap the vessel with known additions'],
  ['litres of the circuit', 'read nearer to the reference temperature'],
  ['expansion of', 'read nearer to the reference temperature'],
  ['refitting the sensor', 'leave the sensor fitted, or give it a stop to be fitted against'],
  ['new fluid', 'measure what the new fluid does with temperature, or fill up with the same'],
  ['target as stated', 'take the target from a reading of this bench'],
  ['speed of sound', 'calibrate the speed of sound in the fluid itself'],
  ['temperature coefficient of the speed of sound', 'calibrate the speed of sound at two temperatures'],
  ['density', 'weigh a known volume of the fluid'],
];

export interface Largest {
  readonly component: string;
  readonly contributionMm: number;
  readonly remedy: string;
}

/** Null where nothing contributes. */
export function largest(budget: readonly BudgetLine[]): Largest | null {
  let most: Group | null = null;
  for (const group of groupsOf(budget))
    if (group.signedMm !== 0 && (most === null || Math.abs(group.signedMm) > Math.abs(most.signedMm))) most = group;
  if (most === null) return null;
  return { component: nameOf(most), contributionMm: Math.abs(most.signedMm), remedy: remedyFor(nameOf(most)) };
}

/** Its largest line gives a group its name. */
export function nameOf({ lines }: Group): string {
  return lines.reduce((a, b) => (b.contributionMm > a.contributionMm ? b : a)).component;
}

export function remedyFor(component: string): string {
  return REMEDIES.find(([name]) => component.startsWith(name))?.[1] ?? `know better: ${component}`;
}
