/**
 * One practitioner's example of a fluid change: figures that are passed on by word of mouth. Every one of them is
 * `common practice, no source`: they check, and are no default and no demonstration of anything.
 */
export const NO_SOURCE = 'common practice, no source';

/** The first reading, and the temperatures at which it may be taken. */
export const FIRST_READING = {
  source: NO_SOURCE,
  levelMm: 77,
  atC: 40,
  windowC: { low: 30, high: 40 },
  /** How far the compensated expectation falls, at least, from the upper end of the window to the lower. */
  fallsMm: 0.5,
} as const;

/** What is poured in after draining, L: as much as came out, and half a litre; together usually within this. */
export const REFILL = { source: NO_SOURCE, moreL: 0.5, usuallyL: { low: 4.5, high: 5.5 } } as const;

/** How hard fluid may be pressed in through a filling hose, at most, as people write it. */
export const FILLING = { source: NO_SOURCE, most: '2 bar' } as const;

/**
 * Setting the level by what runs over a lip: how well a lip sets a level, and how many kelvin of window are left of
 * those of the first reading, at most ("much narrower").
 */
export const OVERFLOW = { source: NO_SOURCE, lipMm: 0.25, windowK: 5 } as const;
